"""PDF files in millimetres: exact page sizes, vector drawing, text as text, pictures stored once, sRGB throughout.

A page is drawn in millimetres of the sheet, with the origin at the upper left and y down. The same content gives the
same bytes: the file does not record when, where or by whom it was made.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import pikepdf
from pikepdf import Array, Dictionary, Name, Stream, String

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.base.units import POINTS_PER_INCH, points_from_mm
from kiosk.core.sheet.bleed import NO_EDGES, Edges, shown_mm
from kiosk.core.sheet.cut_marks import Segment
from kiosk.render.drawing.canvas import BLACK, Colour, Pixels
from kiosk.render.drawing.direction import from_left
from kiosk.render.drawing.embedded_font import (
    HIDDEN,
    HIDDEN_ADVANCE_EM,
    PdfFont,
    codes,
    font_object,
    hidden_codes,
    shown_by,
)
from kiosk.render.drawing.outline import BASELINE_EM, Outline
from kiosk.render.drawing.pdf_operators import filled, operand, path_of, rgb, sides_of
from kiosk.render.drawing.srgb_profile import srgb_profile
from kiosk.render.drawing.stored_picture import StoredPicture
from kiosk.render.drawing.structure import Kind, Part, add_structure

if TYPE_CHECKING:
    from kiosk.render.drawing.text import SetWords

_POINTS_PER_MM = points_from_mm(1.0)
_INSET_MM = 1e-4


@dataclass
class PdfPage:
    """A page being drawn.

    Its text is read aloud in the order of drawing, each line as a paragraph unless `part` says otherwise. `title` is
    that of a file which begins with this page.
    """

    size_mm: Size
    title: str = ""
    _parts: list[Part] = field(default_factory=list)
    _open_parts: list[Part] = field(default_factory=list)
    _pieces: int = 0
    _letters: dict[PdfFont, dict[int, str]] = field(default_factory=dict)
    _operators: list[str] = field(default_factory=list)
    _pictures: list[StoredPicture] = field(default_factory=list)

    def add_picture(self, pixels: Pixels, bleed_px: Edges = NO_EDGES) -> int:
        """Store an sRGB picture of shape (height, width, 3), bleed included, and return its number."""
        self._pictures.append(StoredPicture(pixels, bleed_px))
        return len(self._pictures) - 1

    def draw_picture(self, number: int, place_mm: Rect, turned: bool = False, sides: Edges = NO_EDGES) -> None:
        """Draw a stored picture with its trim at a place; the top of a turned one points to the right.

        The bleed is drawn on the sides that are 1, and clipped on the others. The picture is drawn a tenth of a
        micrometre inside its place, because a renderer paints every pixel that a picture touches, and a rounded
        coordinate must not make it touch one more.
        """
        reach = self._pictures[number].reach_mm(place_mm, turned)
        whole = place_mm.inset(*(-side for side in reach)).inset(*[_INSET_MM] * 4)
        shown = shown_mm(place_mm, reach, sides)
        x, y, width, height = (operand(side) for side in (whole.x, whole.y, whole.width, whole.height))
        matrix = f"0 {height} {width} 0 {x} {y}" if turned else f"{width} 0 0 -{height} {x} {operand(whole.bottom)}"
        clip = "" if shown.contains(whole) else f"{sides_of(shown.inset(*[_INSET_MM] * 4))} re W n "
        drawn = f"q {clip}{matrix} cm /P{number} Do Q"
        if self._open_parts:
            self._add_piece(drawn)
        else:
            self._operators.append(drawn)

    def draw_line(self, line: Segment, width_mm: float, colour: Colour = BLACK) -> None:
        """Draw a straight line with butt ends."""
        self.draw_polyline([(line.x0_mm, line.y0_mm), (line.x1_mm, line.y1_mm)], width_mm, colour)

    def draw_polyline(self, points_mm: Sequence[tuple[float, float]], width_mm: float, colour: Colour = BLACK) -> None:
        """Draw straight lines from point to point with butt ends."""
        self._operators.append(f"{rgb(colour)} RG {operand(width_mm)} w {path_of(points_mm)} S")

    def fill_rect(self, rect: Rect, colour: Colour) -> None:
        """Fill a rectangle."""
        self._operators.append(f"{rgb(colour)} rg {sides_of(rect)} re f")

    def fill_polygon(self, points_mm: Sequence[tuple[float, float]], colour: Colour) -> None:
        """Fill a polygon."""
        self._operators.append(f"{rgb(colour)} rg {path_of(points_mm)} f")

    def draw_words(self, words: Outline, x_mm: float, y_mm: float, colour: Colour = BLACK) -> None:
        """Draw a line of text with its upper left corner at (x, y)."""
        if not words.text:
            return
        self._letters.setdefault(words.font, {}).update(codes(words.text, words.font))
        place = f"1 0 0 -1 {operand(x_mm)} {operand(y_mm + BASELINE_EM * words.em_mm)}"
        shown = shown_by(words.text, words.font)
        self._add_piece(f"BT {rgb(colour)} rg /{words.font} {operand(words.em_mm)} Tf {place} Tm {shown} Tj ET")

    def draw_set_words(self, words: SetWords, x_mm: float, y_mm: float, colour: Colour = BLACK) -> None:
        """Draw a text that was fitted into a box with its upper left corner at (x, y).

        Its outlines are filled, for they are shaped; the text itself lies on them unseen.
        """
        if not words.text:
            return
        letters, block = hidden_codes(words.text), words.block_mm
        self._letters.setdefault(HIDDEN, {}).update(letters)
        shown = "".join(f"{ord(letter):04x}" for letter in from_left(words.text) if ord(letter) in letters)
        widest = max(1, len(shown) // 4) * HIDDEN_ADVANCE_EM * block.height
        place = f"1 0 0 -1 {operand(x_mm + block.x)} {operand(y_mm + block.y + BASELINE_EM * block.height)}"
        unseen = f"BT 3 Tr /{HIDDEN} {operand(block.height)} Tf {operand(100 * block.width / widest)} Tz {place} Tm"
        with self._inside(Part("P", spoken=words.text)):
            self._add_piece(f"{filled(words.path(), x_mm, y_mm, colour)}\nq {unseen} <{shown}> Tj ET Q")

    def fill_path(self, path: str, x_mm: float, y_mm: float, colour: Colour) -> None:
        """Fill a path of PDF operators in millimetres, its origin moved to (x, y)."""
        if path:
            self._operators.append(filled(path, x_mm, y_mm, colour))

    @contextmanager
    def part(self, kind: Kind, alternative: str = "") -> Iterator[None]:
        """Read all that is drawn inside as one heading, paragraph, table cell or figure, or part of a table.

        `alternative` is read instead of a figure.
        """
        with self._inside(Part(kind, alternative)):
            yield

    @contextmanager
    def _inside(self, part: Part) -> Iterator[None]:
        (self._open_parts[-1].children if self._open_parts else self._parts).append(part)
        self._open_parts.append(part)
        yield
        self._open_parts.pop()

    def _add_piece(self, operators: str) -> None:
        """Draw what is read aloud, as a piece of the open part or as a paragraph."""
        if not self._open_parts:
            self._parts.append(Part("P"))
        part = self._open_parts[-1] if self._open_parts else self._parts[-1]
        part.children.append(self._pieces)
        self._operators.append(f"/{part.kind} <</MCID {self._pieces}>> BDC\n{operators}\nEMC")
        self._pieces += 1

    @contextmanager
    def at(self, place_mm: Rect, turned: bool = False) -> Iterator[None]:
        """Draw from the upper left corner of a place; when turned, from its lower left corner upwards."""
        if turned:
            matrix = f"0 -1 1 0 {operand(place_mm.x)} {operand(place_mm.bottom)}"
        else:
            matrix = f"1 0 0 1 {operand(place_mm.x)} {operand(place_mm.y)}"
        self._operators.append(f"q {matrix} cm")
        yield
        self._operators.append("Q")

    @contextmanager
    def half_turned(self, size_mm: Size) -> Iterator[None]:
        """Turn the drawing upside down within a frame of that size, whose upper left corner is (0, 0)."""
        self._operators.append(f"q -1 0 0 -1 {operand(size_mm.width)} {operand(size_mm.height)} cm")
        yield
        self._operators.append("Q")

    def finish(self) -> bytes:
        """Return the page as a file of its own."""
        return pdf_file([self])

    def _added_to(self, pdf: pikepdf.Pdf, profile: pikepdf.Object, fonts: Dictionary) -> Dictionary:
        """Return the page as an object of a file; MediaBox and TrimBox are exact to the precision of a PDF number."""
        pictures = {f"/P{number}": each.added_to(pdf, profile) for number, each in enumerate(self._pictures)}
        box = Array([0, 0, *(_points(side) for side in (self.size_mm.width, self.size_mm.height))])
        to_points = f"{_POINTS_PER_MM:.12f} 0 0 -{_POINTS_PER_MM:.12f} 0 {points_from_mm(self.size_mm.height):.9f} cm"
        content = "\n".join([to_points, *self._operators]).encode("ascii")
        return Dictionary(
            Type=Name.Page,
            MediaBox=box,
            TrimBox=box,
            Resources=Dictionary(
                XObject=Dictionary(pictures),
                Font=fonts,
                ColorSpace=Dictionary(DefaultRGB=Array([Name.ICCBased, profile])),
            ),
            Contents=pdf.make_stream(content),
        )


def pdf_file(pages: Sequence[PdfPage], *, duplex: bool = False) -> bytes:
    """Return a PDF file of several pages.

    The page boxes follow ISO 32000-1, 14.11.2. The output intent is sRGB. Viewers are asked not to scale (PrintScaling
    None, 12.2) and, with `duplex`, to print on both sides, turned over the long edge. The file has the title of its
    first page, and is tagged.
    """
    with pikepdf.new() as pdf:
        profile = pdf.make_indirect(Stream(pdf, srgb_profile(), N=3, Alternate=Name.DeviceRGB))
        fonts = _fonts(pdf, pages)
        for page in pages:
            pdf.pages.append(pikepdf.Page(pdf.make_indirect(page._added_to(pdf, profile, fonts))))
        add_structure(pdf, [(each.obj, page._parts) for each, page in zip(pdf.pages, pages, strict=True)])
        pdf.Root.Lang = String("en")
        pdf.Root.OutputIntents = Array([_srgb_intent(profile)])
        pdf.Root.ViewerPreferences = Dictionary(PrintScaling=Name("/None"), DisplayDocTitle=True)
        if pages[0].title:
            pdf.docinfo.Title = String(pages[0].title)
        if duplex:
            pdf.Root.ViewerPreferences.Duplex = Name.DuplexFlipLongEdge
        file = io.BytesIO()
        pdf.save(file, min_version="1.7", deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    return file.getvalue()


def _fonts(pdf: pikepdf.Pdf, pages: Sequence[PdfPage]) -> Dictionary:
    """Return the fonts of a file, each with the letters of all its pages."""
    letters: dict[PdfFont, dict[int, str]] = {}
    for page in pages:
        for name, used in page._letters.items():
            letters.setdefault(name, {}).update(used)
    return pdf.make_indirect(Dictionary({f"/{name}": font_object(pdf, name, used) for name, used in letters.items()}))


def _srgb_intent(profile: pikepdf.Object) -> Dictionary:
    return Dictionary(
        Type=Name.OutputIntent,
        S=Name.GTS_PDFA1,
        OutputConditionIdentifier=String("sRGB IEC61966-2.1"),
        Info=String("sRGB IEC61966-2.1"),
        DestOutputProfile=profile,
    )


def _points(length_mm: float) -> pikepdf.Object | int:
    points = points_from_mm(length_mm)
    whole = round(points)
    return whole if abs(points - whole) < 1e-9 * POINTS_PER_INCH else pikepdf.Object.parse(f"{points:.6f}".encode())
