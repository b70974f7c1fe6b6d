"""Draw a badge at true scale: areas with their bleed, the photo, the texts, the code."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from kiosk.core.base.geometry import Rect
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.event.badge_boxes import BadgeSide, Code, TextField
from kiosk.fonts.collection import unwritable
from kiosk.render.drawing.canvas import BLACK, Colour
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.drawing.qr_code import code_path, least_module_mm, module_mm
from kiosk.render.drawing.text import SetWords, set_words, surely_fits


@dataclass(frozen=True, slots=True)
class Wearer:
    """The content of a badge: `values` are the roster's columns, `photo` the number of a picture stored on the page."""

    values: Mapping[str, str]
    photo: int | None = field(default=None, compare=False)

    @property
    def role(self) -> str:
        """The role that determines the badge's colour."""
        return self.values.get("role", "")


def draw_badge(
    page: PdfPage, place_mm: Rect, design: BadgeDesign, side: BadgeSide, wearer: Wearer, turned: bool = False
) -> None:
    """Draw one side of a badge with its trim at a place; the top of a turned one points to the right."""
    with page.at(place_mm, turned):
        _fill(page, _bled(Rect(0.0, 0.0, design.width_mm, design.height_mm), design), design, side.background, wearer)
        for area in side.areas:
            _fill(page, _bled(area.rect_mm, design), design, area.colour, wearer)
        if side.photo is not None:
            if wearer.photo is None:
                _fill(page, side.photo.rect_mm, design, "role", wearer)
            else:
                page.draw_picture(wearer.photo, side.photo.rect_mm)
        for text in side.texts:
            page.draw_set_words(
                text_set(text, wearer.values), text.x_mm, text.y_mm, _colour(design, text.colour, wearer)
            )
        if side.code is not None:
            page.fill_path(code_path(side.code, side.code.words(wearer.values)), side.code.x_mm, side.code.y_mm, BLACK)


def text_set(text: TextField, values: Mapping[str, str]) -> SetWords:
    """Return the text of a field, fitted into its box."""
    return set_words(
        text.words(values),
        text.rect_mm,
        largest_pt=text.largest_pt,
        least_pt=text.least_pt,
        lines=text.lines,
        align=text.align,
        bold=text.bold,
    )


def unprintable(values: Mapping[str, str], design: BadgeDesign | None) -> Iterator[str]:
    """Yield the reasons why a person's badge cannot be printed; without a design, all of the person's values count."""
    columns = values if design is None else design.columns
    letters = unwritable("".join(values.get(column, "") for column in columns))
    if letters:
        yield f"no installed typeface has {' '.join(letters)}; install fonts-noto-core and fonts-noto-cjk"
    elif design is not None:
        yield from misfits(design, values)


def misfits(design: BadgeDesign, values: Mapping[str, str]) -> tuple[str, ...]:
    """Return the reasons why a person's badge would be illegible, one per field; empty if everything fits."""
    reasons = []
    for _, side in design.sides():
        for text in side.texts:
            words = text.words(values)
            if surely_fits(words, text.rect_mm, text.least_pt, bold=text.bold):
                continue
            if not text_set(text, values).fits:
                reasons.append(f"{words!r} is too long for its place at {text.least_pt:g} pt")
        if side.code is not None:
            reasons += _too_dense(side.code, values)
    return tuple(reasons)


def _too_dense(code: Code, values: Mapping[str, str]) -> list[str]:
    words = code.words(values)
    if least_module_mm(code, words) >= code.least_module_mm:
        return []
    module = module_mm(code, words)
    if module >= code.least_module_mm:
        return []
    return [f"{words!r} makes a code with modules of {module:.2f} mm; the minimum is {code.least_module_mm:g} mm"]


def _bled(rect: Rect, design: BadgeDesign) -> Rect:
    """Return a rectangle whose edges on the trim are moved outwards by the bleed."""
    bleed = design.bleed_mm
    at = (rect.x <= 0.0, rect.y <= 0.0, rect.right >= design.width_mm, rect.bottom >= design.height_mm)
    return rect.inset(*(-bleed if touches else 0.0 for touches in at))


def _fill(page: PdfPage, rect: Rect, design: BadgeDesign, colour: str, wearer: Wearer) -> None:
    page.fill_rect(rect, _colour(design, colour, wearer))


def _colour(design: BadgeDesign, colour: str, wearer: Wearer) -> Colour:
    red, green, blue = (channel / 255 for channel in design.colour(colour, wearer.role))
    return red, green, blue
