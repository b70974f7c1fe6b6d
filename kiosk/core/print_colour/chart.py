"""The colour page as numbers: which patches lie where on a medium, and what they should look like.

Four rows of ten patches between the twelve marks of the ruler page, by which a picture of it is squared up: a grey
wedge, colours, skin tones, and the wedge once more in an order of the page's own. Lengths in millimetres, origin at the
upper left of the sheet.
"""

from __future__ import annotations

import math
import zlib
from dataclasses import dataclass

from kiosk.core.base.colour import LabColour, luminance_of_lightness
from kiosk.core.base.geometry import Point, Rect, Size
from kiosk.core.print_colour.colours import Code, code_of_light, light_of_xyz, xyz_of_lab
from kiosk.core.print_scale.ruler import COLUMNS, ORIGIN_MM, ROWS, Ruler, ruler_for
from kiosk.core.sheet.imposition import Margins

WEDGE_L = (90.0, 80.0, 70.0, 60.0, 50.0, 40.0, 30.0, 20.0, 10.0, 0.0)
"""L* of the wedge's steps; 100 is the paper, of which there is enough between them."""

SAMPLES: tuple[LabColour, ...] = (
    (62.02, 18.98, 12.96),
    (61.05, 2.73, 29.28),
    (62.14, -17.79, 43.92),
    (60.77, -31.73, 15.26),
    (61.86, -19.07, -9.72),
    (60.89, -4.00, -29.25),
    (61.12, 17.76, -23.89),
    (63.20, 27.32, -12.31),
    (80.77, 13.71, 21.83),
    (40.79, -12.39, 24.06),
)
"""L*a*b* of the test colour samples 1 to 8, 13 and 14 of CIE 13.3-1995, under D50 for the 2° observer: eight hues of
middle lightness, a light skin and a leaf. They were computed from the published reflectances; the strong samples 9 to
12 are left out, because portraits hold nothing like them and two lie at the edge of sRGB or beyond."""

SKINS: tuple[Code, ...] = (
    (0xF6, 0xED, 0xE4),
    (0xF3, 0xE7, 0xDB),
    (0xF7, 0xEA, 0xD0),
    (0xEA, 0xDA, 0xBA),
    (0xD7, 0xBD, 0x96),
    (0xA0, 0x7E, 0x56),
    (0x82, 0x5C, 0x43),
    (0x60, 0x41, 0x34),
    (0x3A, 0x31, 0x2A),
    (0x29, 0x24, 0x20),
)
"""The ten tones of the Monk Skin Tone Scale (E. Monk, 2019), as sRGB codes, light to dark."""

WEDGE, COLOURED, SKIN, SHUFFLED = ROW_NAMES = ("A", "B", "C", "D")
"""The rows from top to bottom."""
STEPS = len(WEDGE_L)

_ROW_BAND = (0.0, 0.5, 1.0, 2.5)
"""Where each row begins, in distances between two rows of marks; the words stand below the skin tones."""
_WORDS_BAND = 1.5
_ROW_SHARE, _COLUMN_SHARE = 0.44, 0.86
"""How much of its row and column a patch fills; the rest is paper, against which it is measured."""
_SAFE_MM = 1.0
_LEAST_MM = 2.0
"""A narrower patch leaves too few pixels to a picture of the page (this project's own choice)."""
_STRIDE = 1170769
"""How far apart the orders of two pages in a row are among all 10! of them. It shares no factor with 10!, so that no
order comes twice; among any twenty pages in a row a grey is two steps from its place on average (computed)."""


@dataclass(frozen=True, slots=True)
class Patch:
    """A patch: its name on the page, such as A1, its sRGB code, and where it lies."""

    name: str
    code: Code
    place_mm: Rect

    @property
    def row(self) -> str:
        """The row's letter."""
        return self.name[0]


@dataclass(frozen=True, slots=True)
class ColourChart:
    """The page of a printer: its marks are those of a ruler.

    The number and the printer's name shuffle the last row, so that neither an older page nor another printer's is taken
    for it.
    """

    ruler: Ruler
    number: int
    printer: str = ""

    @property
    def page_mm(self) -> Size:
        """The medium."""
        return self.ruler.page_mm

    @property
    def order(self) -> tuple[int, ...]:
        """The wedge's steps in the order in which they lie in the shuffled row."""
        first, left, order = zlib.crc32(self.printer.encode()), list(range(STEPS)), []
        index = (first + self.number * _STRIDE) % math.factorial(STEPS)
        for size in range(STEPS, 0, -1):
            place, index = divmod(index, math.factorial(size - 1))
            order.append(left.pop(place))
        return tuple(order)

    @property
    def patches(self) -> tuple[Patch, ...]:
        """All patches, row by row."""
        wedge = [code_of_lightness(lightness) for lightness in WEDGE_L]
        rows = (wedge, [code_of_lab(lab) for lab in SAMPLES], SKINS, [wedge[step] for step in self.order])
        return tuple(
            Patch(f"{name}{column + 1}", code, self._slot(row, column, _ROW_SHARE, _COLUMN_SHARE))
            for row, (name, codes) in enumerate(zip(ROW_NAMES, rows, strict=True))
            for column, code in enumerate(codes)
        )

    @property
    def papers_mm(self) -> tuple[Point, ...]:
        """Places of bare paper beside the patches: above and below each of them, clear of its edge."""
        return tuple(
            Point(patch.place_mm.centre.x, y_mm)
            for patch in self.patches
            for y_mm in (patch.place_mm.y - self.paper_mm, patch.place_mm.bottom + self.paper_mm)
        )

    @property
    def paper_mm(self) -> float:
        """How far the middle of a place of bare paper is from the edge of its patch."""
        return self._row_mm * (1 - _ROW_SHARE) / 4

    @property
    def words_mm(self) -> Rect:
        """The room for words."""
        frame = self.ruler.frame_mm
        first = self._slot(0, 0, 1.0, 1.0)
        top_mm = frame.y + _WORDS_BAND * 2 * self._row_mm
        return Rect(first.x, top_mm, frame.right - ORIGIN_MM - first.x, 2 * self._row_mm)

    def step_of(self, patch: Patch) -> int | None:
        """Return which of the wedge's steps a patch is, or None where it is none."""
        column = int(patch.name[1:]) - 1
        return {WEDGE: column, SHUFFLED: self.order[column]}.get(patch.row)

    @property
    def _row_mm(self) -> float:
        return self.ruler.frame_mm.height / (ROWS - 1) / 2

    def _slot(self, row: int, column: int, high: float, wide: float) -> Rect:
        """Return a share of the place of a patch, about its middle; the columns keep clear of the marks."""
        frame, half = self.ruler.frame_mm, STEPS // (COLUMNS - 1)
        cell_mm = frame.width / (COLUMNS - 1)
        clear_mm = ORIGIN_MM / 2 + _SAFE_MM
        pitch_mm = (cell_mm - 2 * clear_mm) / half
        x_mm = frame.x + column // half * cell_mm + clear_mm + (column % half + 0.5) * pitch_mm
        y_mm = frame.y + (2 * _ROW_BAND[row] + 0.5) * self._row_mm
        width, height = wide * pitch_mm, high * self._row_mm
        return Rect(x_mm - width / 2, y_mm - height / 2, width, height)


def chart_for(page_mm: Size, margins: Margins, number: int, printer: str = "") -> ColourChart | None:
    """Return the page of a medium within its margins, or None where the patches would be too small to be read."""
    ruler = ruler_for(page_mm, margins)
    if ruler is None:
        return None
    chart = ColourChart(ruler, number, printer)
    place = chart.patches[0].place_mm
    return chart if min(place.width, place.height) >= _LEAST_MM else None


def code_of_lightness(lightness: float) -> Code:
    """Return the grey of an L*."""
    code = code_of_light(luminance_of_lightness(lightness))
    return code, code, code


def code_of_lab(lab: LabColour) -> Code:
    """Return the sRGB code nearest to L*a*b* under D50, which must lie inside sRGB."""
    red, green, blue = (code_of_light(light) for light in light_of_xyz(xyz_of_lab(lab)))
    return red, green, blue
