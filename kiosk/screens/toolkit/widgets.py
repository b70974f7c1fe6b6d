"""The building blocks of screens: buttons, rows, chips, notes, and the footer of every screen."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Literal

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.media import written
from kiosk.core.view.choice import DocumentOffer
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import ScreenLayout, columns, cut_start, cut_top, square
from kiosk.screens.toolkit.outcome_signs import FINAL, sign
from kiosk.screens.toolkit.scene import Nudge, PanelPlace, Scene, UserAct
from kiosk.screens.toolkit.text import Style, fit, largest_common
from kiosk.screens.toolkit.theme import ThemeColour, TypeScale

Rank = Literal["main", "other"]

DETAIL_HEIGHT = 52.0
"""The height of a line of detail."""

WORD_HEIGHT = 90.0
"""The height of two lines under the icon of a small button."""

NOTE_SIGN, NOTE_GAP = 72.0, 28.0
NOTE_HEIGHT = 170.0
"""The height of a sentence of two or three lines."""
ICON_WIDTH, ICON_GAP = 76.0, 16.0
SIGN_WIDTH, ROW_SIGN_GAP = 96.0, 20.0


def document_title(words: Words, offer: DocumentOffer) -> str:
    """Return a document's title in the sitter's language, or its own title if its kind is unknown."""
    if not offer.kinds:
        return words.own(offer.title)
    first, *others = (words.tr(f"document.{kind}") for kind in offer.kinds)
    title = first[:1].upper() + first[1:]
    for other in others:
        title = words.tr("document.list", kinds=title, kind=other)
    return words.tr("document.upload", document=title) if offer.is_upload else title


def document_detail(words: Words, offer: DocumentOffer) -> str:
    """Return a document's country, the size of its photo, and its price if prices are shown."""
    where = words.country(offer.country) if offer.country else words.tr("choose.anywhere")
    if offer.price is None:
        return words.tr("choose.detail", country=where, size=offer.size_text)
    return words.tr("choose.detail_priced", country=where, size=offer.size_text, price=words.money(offer.price))


def sheets_text(words: Words, view: SessionView) -> str:
    """Return the photos per sheet, the paper, and the number of sheets if there are several."""
    photos = words.tr("printing.sheet", count=view.sheet.copies, paper=written(view.sheet.paper))
    return (
        photos if view.sheet.sheets == 1 else words.joined(photos, words.tr("copies.sheets", count=view.sheet.sheets))
    )


def button(scene: Scene, rect: Rect, label: str, act: UserAct, *, icon: str = "", rank: Rank = "other") -> None:
    """Draw a button with its label in the middle; the main one is filled, and a screen has at most one."""
    words = theme.INK if rank == "main" else theme.TEXT
    scene.fill(rect, theme.ACCENT if rank == "main" else theme.RAISED)
    if rank == "other":
        scene.outline(rect, theme.LINE, 3)
    inner = rect.inset(24, 4, 24, 4)
    if icon:
        place, _ = cut_start(inner, ICON_WIDTH - ICON_GAP, ICON_GAP)
        scene.icon(square(place, 56), icon, words)
        centred = inner.inset(ICON_WIDTH, 0, ICON_WIDTH, 0)
        style = Style(words, bold=True)
        has_room = fit(label, centred.width, inner.height, scene.scale(theme.BODY), style).fits
        inner = centred if has_room else inner.inset(ICON_WIDTH, 0, 0, 0)
    scene.text(inner, label, theme.BODY, words, bold=True, align="centre")
    scene.touch(rect, act)


def switch(scene: Scene, rect: Rect, label: str, act: UserAct, *, on: bool, scale: TypeScale = theme.BODY) -> None:
    """Draw a switch: a tick on a disc if it is on, or an empty ring."""
    scene.fill(rect, theme.RAISED)
    scene.outline(rect, theme.GOOD if on else theme.LINE, 5 if on else 3)
    place, words = _switch_parts(rect)
    if on:
        sign(scene, square(place, 56), FINAL["pass"])
    else:
        scene.outline(square(place, 56), theme.LINE, 5, 28)
    scene.text(words, label, scale, bold=True)
    scene.touch(rect, act)


def _switch_parts(rect: Rect) -> tuple[Rect, Rect]:
    return cut_start(rect.inset(28, 4, 20, 4), 60, 20)


def switch_scale(scene: Scene, rect: Rect, labels: list[str]) -> TypeScale:
    """Return the sizes in which all labels of switches as large as a rectangle fit."""
    _, words = _switch_parts(rect)
    return largest_common(labels, words.width, words.height, scene.scale(theme.SWITCH), Style(theme.TEXT, bold=True))


def small_buttons(scene: Scene, rect: Rect, items: list[tuple[str, str, UserAct] | None]) -> None:
    """Draw a row of buttons with an icon above a word, all words in one size; a neighbour takes the place of None."""
    shown = list(_spread(columns(rect, len(items), 12), items))
    inner_width = columns(rect, len(items), 12)[0].width - 16
    scale = largest_common(
        [label for _, _, label, _ in shown],
        inner_width,
        WORD_HEIGHT,
        scene.scale(theme.DETAIL),
        Style(theme.TEXT, bold=True, align="centre"),
    )
    for cell, icon, label, act in shown:
        scene.fill(cell, theme.RAISED)
        scene.outline(cell, theme.LINE, 3)
        scene.icon(Rect(cell.centre.x - 23, cell.y + 10, 46, 46), icon)
        words = Rect(cell.x + 8, cell.bottom - WORD_HEIGHT - 2, cell.width - 16, WORD_HEIGHT)
        scene.text(words, label, scale, bold=True, align="centre")
        scene.touch(cell, act)


def _spread(
    cells: list[Rect], items: list[tuple[str, str, UserAct] | None]
) -> Iterator[tuple[Rect, str, str, UserAct]]:
    """Yield each button with its cell, which reaches to the next button; the first one begins the row."""
    starts = [index for index, item in enumerate(items) if item is not None]
    for order, index in enumerate(starts):
        item = items[index]
        first = cells[index if order else 0]
        last = cells[(starts[order + 1] if order + 1 < len(starts) else len(cells)) - 1]
        if item is not None:
            yield Rect(first.x, first.y, last.right - first.x, first.height), *item


def footer(
    scene: Scene, area: ScreenLayout, *, help_: bool = True, language: bool = True, start_again: bool = True
) -> None:
    """Draw the buttons that have the same place on every screen."""
    tr = scene.words.tr
    items: list[tuple[str, str, UserAct] | None] = [
        ("help", tr("button.help"), PanelPlace("help")) if help_ else None,
        ("language", tr("button.language"), PanelPlace("language")) if language else None,
        ("start_again", tr("button.start_again"), Intent("start_again")) if start_again else None,
    ]
    small_buttons(scene, area.footer, items)


def accessibility_corner(scene: Scene) -> None:
    """Draw the accessibility sign, which opens its panel from every screen and closes it again."""
    is_open = scene.place.panel == "ease"
    rect = scene.area.corner
    scene.fill(rect, theme.FOCUS if is_open else theme.RAISED)
    scene.outline(rect, theme.FOCUS, 5)
    scene.icon(square(rect, 108), "accessibility", theme.INK if is_open else theme.FOCUS, 7)
    scene.touch(rect, PanelPlace() if is_open else PanelPlace("ease"))


def pad(scene: Scene) -> None:
    """Draw the three buttons of low controls, which give access to everything on the screen."""
    tr = scene.words.tr
    items: list[tuple[str, str, UserAct] | None] = [
        ("back", tr("button.previous"), Nudge(-1)),
        ("press", tr("button.choose"), Nudge(0)),
        ("forward", tr("button.forward"), Nudge(1)),
    ]
    small_buttons(scene, scene.area.pad, items)


def list_row(
    scene: Scene,
    rect: Rect,
    title: str,
    detail: str,
    act: UserAct,
    scale: TypeScale,
    sign: Callable[[Rect], None] | None = None,
) -> None:
    """Draw an entry of a list: its title, on two lines at most, and its details; a pictogram takes `SIGN_WIDTH`."""
    scene.fill(rect, theme.RAISED)
    scene.outline(rect, theme.LINE, 3)
    inner = rect.inset(24, 4, 24, 4)
    if sign is not None:
        place, inner = cut_start(inner, SIGN_WIDTH - ROW_SIGN_GAP, ROW_SIGN_GAP)
        sign(square(place, place.width))
    room = inner.height - scene.high(DETAIL_HEIGHT)
    height = fit(title, inner.width, room, scene.scale(scale), Style(theme.TEXT)).height
    upper, lower = cut_top(inner.inset(0, (room - height) / 2, 0, (room - height) / 2), height, 0)
    scene.text(upper, title, scale)
    scene.text(lower, detail, theme.DETAIL, theme.MUTED)
    scene.touch(rect, act)


def notes(scene: Scene, lines: list[Rect], items: list[tuple[str, str]], scale: TypeScale = theme.BODY) -> None:
    """Draw sentences that belong together, each beside its icon, all in one size."""
    least = min(lines, key=lambda line: line.height)
    _, words = cut_start(least, NOTE_SIGN, NOTE_GAP)
    texts = [text for _, text in items]
    scale = largest_common(texts, words.width, words.height, scene.scale(scale), Style(theme.TEXT))
    for line, (icon, text) in zip(lines, items, strict=False):
        note(scene, line, icon, text, scale=scale)


def note(
    scene: Scene, rect: Rect, icon: str, text: str, colour: ThemeColour = theme.TEXT, scale: TypeScale = theme.BODY
) -> None:
    """Draw a sentence beside a coloured icon."""
    place, words = cut_start(rect, NOTE_SIGN, NOTE_GAP)
    scene.icon(square(place, 68), icon, colour, 6)
    scene.text(words, text, scale)


def wiped(scene: Scene, view: SessionView, key: str, kept_key: str) -> str:
    """Return the sentence on what is wiped: that of `kept_key` if the sheet is kept for a while."""
    words = scene.words
    return words.tr(kept_key, time=words.minutes(view.sheet.kept_minutes)) if view.sheet.kept_minutes else words.tr(key)


def caution(scene: Scene, view: SessionView) -> str:
    """Return the caution on flashing light."""
    return scene.words.tr("flash_alone" if view.is_alone else "flash")


def marker(scene: Scene, strip: Rect, view: SessionView) -> None:
    """Draw the markers for a simulation and for a call to the attendant; if both apply, the call is an icon only."""
    if not (view.simulated or view.called):
        return
    scene.fill(strip, theme.SURFACE, strip.height / 2)
    words = strip.inset(24, 0, 24, 0)
    if view.called:
        bell, words = cut_start(words, strip.height, 16)
        scene.icon(bell, "attendant", theme.GUIDE, 6)
    key, colour = ("simulation", theme.MUTED) if view.simulated else ("called.title", theme.GUIDE)
    scene.text(words, scene.words.tr(key), theme.DETAIL, colour, align="centre")
