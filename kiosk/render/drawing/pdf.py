"""PDF files in millimetres: exact page sizes, vector drawing, pictures stored once, sRGB throughout.

A page is drawn in millimetres of the sheet, with the origin at the upper left and y down. The same content gives the
same bytes: the file does not record when, where or by whom it was made.
"""

from __future__ import annotations

import io
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np
import pikepdf
from pikepdf import Array, Dictionary, Name, Stream, String

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.base.units import POINTS_PER_INCH, points_from_mm
from kiosk.core.sheet.bleed import NO_EDGES, Edges, reach_mm, shown_mm
from kiosk.core.sheet.cut_marks import Segment
from kiosk.render.drawing.canvas import BLACK, Colour, Pixels
from kiosk.render.drawing.outline import BASELINE_EM, Outline
from kiosk.render.drawing.srgb_profile import srgb_profile

_POINTS_PER_MM = points_from_mm(1.0)
_INSET_MM = 1e-4


@dataclass(frozen=True, slots=True, eq=False)
class _Picture:
    """A stored picture, and how many of its pixels are bleed."""

    pixels: Pixels
    bleed_px: Edges

    def reach_mm(self, place_mm: Rect, turned: bool) -> tuple[float, ...]:
        edges, (height, width) = self.bleed_px, self.pixels.shape[:2]
        trimmed_px = (width - edges.left - edges.right, height - edges.top - edges.bottom)
        return reach_mm(place_mm, *trimmed_px, edges, turned)


@dataclass
class PdfPage:
    """A page being drawn."""

    size_mm: Size
    _operators: list[str] = field(default_factory=list)
    _pictures: list[_Picture] = field(default_factory=list)

    def add_picture(self, pixels: Pixels, bleed_px: Edges = NO_EDGES) -> int:
        """Store an sRGB picture of shape (height, width, 3), bleed included, and return its number."""
        self._pictures.append(_Picture(pixels, bleed_px))
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
        x, y, width, height = (_number(side) for side in (whole.x, whole.y, whole.width, whole.height))
        matrix = f"0 {height} {width} 0 {x} {y}" if turned else f"{width} 0 0 -{height} {x} {_number(whole.bottom)}"
        clip = "" if shown.contains(whole) else f"{_sides(shown.inset(*[_INSET_MM] * 4))} re W n "
        self._operators.append(f"q {clip}{matrix} cm /P{number} Do Q")

    def draw_line(self, line: Segment, width_mm: float, colour: Colour = BLACK) -> None:
        """Draw a straight line with butt ends."""
        self.draw_polyline([(line.x0_mm, line.y0_mm), (line.x1_mm, line.y1_mm)], width_mm, colour)

    def draw_polyline(self, points_mm: Sequence[tuple[float, float]], width_mm: float, colour: Colour = BLACK) -> None:
        """Draw straight lines from point to point with butt ends."""
        self._operators.append(f"{_rgb(colour)} RG {_number(width_mm)} w {_outline(points_mm)} S")

    def fill_rect(self, rect: Rect, colour: Colour) -> None:
        """Fill a rectangle."""
        self._operators.append(f"{_rgb(colour)} rg {_sides(rect)} re f")

    def fill_polygon(self, points_mm: Sequence[tuple[float, float]], colour: Colour) -> None:
        """Fill a polygon."""
        self._operators.append(f"{_rgb(colour)} rg {_outline(points_mm)} f")

    def draw_words(self, words: Outline, x_mm: float, y_mm: float, colour: Colour = BLACK) -> None:
        """Draw a line of text with its upper left corner at (x, y)."""
        self.fill_path(words.path, x_mm, y_mm + BASELINE_EM * words.em_mm, colour)

    def fill_path(self, path: str, x_mm: float, y_mm: float, colour: Colour) -> None:
        """Fill a path of PDF operators in millimetres, its origin moved to (x, y)."""
        if path:
            self._operators.append(f"q {_rgb(colour)} rg 1 0 0 1 {_number(x_mm)} {_number(y_mm)} cm\n{path}f Q")

    @contextmanager
    def at(self, place_mm: Rect, turned: bool = False) -> Iterator[None]:
        """Draw from the upper left corner of a place; when turned, from its lower left corner upwards."""
        if turned:
            matrix = f"0 -1 1 0 {_number(place_mm.x)} {_number(place_mm.bottom)}"
        else:
            matrix = f"1 0 0 1 {_number(place_mm.x)} {_number(place_mm.y)}"
        self._operators.append(f"q {matrix} cm")
        yield
        self._operators.append("Q")

    @contextmanager
    def half_turned(self, size_mm: Size) -> Iterator[None]:
        """Turn the drawing upside down within a frame of that size, whose upper left corner is (0, 0)."""
        self._operators.append(f"q -1 0 0 -1 {_number(size_mm.width)} {_number(size_mm.height)} cm")
        yield
        self._operators.append("Q")

    def finish(self) -> bytes:
        """Return the page as a file of its own."""
        return pdf_file([self])

    def _added_to(self, pdf: pikepdf.Pdf, profile: pikepdf.Object) -> Dictionary:
        """Return the page as an object of a file; MediaBox and TrimBox are exact to the precision of a PDF number."""
        pictures = {f"/P{number}": _picture(pdf, each.pixels, profile) for number, each in enumerate(self._pictures)}
        box = Array([0, 0, *(_points(side) for side in (self.size_mm.width, self.size_mm.height))])
        to_points = f"{_POINTS_PER_MM:.12f} 0 0 -{_POINTS_PER_MM:.12f} 0 {points_from_mm(self.size_mm.height):.9f} cm"
        content = "\n".join([to_points, *self._operators]).encode("ascii")
        return Dictionary(
            Type=Name.Page,
            MediaBox=box,
            TrimBox=box,
            Resources=Dictionary(
                XObject=Dictionary(pictures), ColorSpace=Dictionary(DefaultRGB=Array([Name.ICCBased, profile]))
            ),
            Contents=pdf.make_stream(content),
        )


def pdf_file(pages: Sequence[PdfPage], *, duplex: bool = False) -> bytes:
    """Return a PDF file of several pages.

    The page boxes follow ISO 32000-1, 14.11.2. The output intent is sRGB. Viewers are asked not to scale (PrintScaling
    None, 12.2) and, with `duplex`, to print on both sides, turned over the long edge.
    """
    with pikepdf.new() as pdf:
        profile = pdf.make_indirect(Stream(pdf, srgb_profile(), N=3, Alternate=Name.DeviceRGB))
        for page in pages:
            pdf.pages.append(pikepdf.Page(pdf.make_indirect(page._added_to(pdf, profile))))
        pdf.Root.OutputIntents = Array([_srgb_intent(profile)])
        pdf.Root.ViewerPreferences = Dictionary(PrintScaling=Name("/None"))
        if duplex:
            pdf.Root.ViewerPreferences.Duplex = Name.DuplexFlipLongEdge
        file = io.BytesIO()
        pdf.save(file, min_version="1.7", deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    return file.getvalue()


def _picture(pdf: pikepdf.Pdf, pixels: Pixels, profile: pikepdf.Object) -> pikepdf.Object:
    """Store a picture losslessly: each pixel minus its left neighbour (TIFF predictor 2), then deflated.

    The differences in a photo contain few repetitions; Huffman coding alone is three times as fast and no larger.
    """
    height, width = pixels.shape[:2]
    steps = pixels.copy()
    np.subtract(pixels[:, 1:], pixels[:, :-1], out=steps[:, 1:])
    deflate = zlib.compressobj(strategy=zlib.Z_HUFFMAN_ONLY)
    stream = Stream(pdf, deflate.compress(steps.tobytes()) + deflate.flush())
    stream.stream_dict = Dictionary(
        Type=Name.XObject,
        Subtype=Name.Image,
        Width=width,
        Height=height,
        BitsPerComponent=8,
        ColorSpace=Array([Name.ICCBased, profile]),
        Interpolate=False,
        Filter=Name.FlateDecode,
        DecodeParms=Dictionary(Predictor=2, Colors=3, BitsPerComponent=8, Columns=width),
    )
    return pdf.make_indirect(stream)


def _srgb_intent(profile: pikepdf.Object) -> Dictionary:
    return Dictionary(
        Type=Name.OutputIntent,
        S=Name.GTS_PDFA1,
        OutputConditionIdentifier=String("sRGB IEC61966-2.1"),
        Info=String("sRGB IEC61966-2.1"),
        DestOutputProfile=profile,
    )


def _outline(points_mm: Sequence[tuple[float, float]]) -> str:
    places = [f"{_number(x)} {_number(y)}" for x, y in points_mm]
    return " ".join([f"{places[0]} m", *(f"{place} l" for place in places[1:])])


def _sides(rect: Rect) -> str:
    return " ".join(_number(side) for side in (rect.x, rect.y, rect.width, rect.height))


def _points(length_mm: float) -> pikepdf.Object | int:
    points = points_from_mm(length_mm)
    whole = round(points)
    return whole if abs(points - whole) < 1e-9 * POINTS_PER_INCH else pikepdf.Object.parse(f"{points:.6f}".encode())


def _number(value: float) -> str:
    """Format a length to the nanometre."""
    return f"{value:.6f}".rstrip("0").rstrip(".")


def _rgb(colour: Colour) -> str:
    return " ".join(f"{part:.3f}" for part in colour)
