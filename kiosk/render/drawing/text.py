"""Text in any script as vector outlines, fitted into a box; skia's text layout shapes, orders and wraps it.

A text takes the largest size that fits and never extends beyond its box. `kiosk.render.drawing.outline` is the simpler
way for the sheet's own English words.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from itertools import chain, islice
from typing import Any

import skia
from fontTools.misc.transform import Transform
from fontTools.pens.boundsPen import ControlBoundsPen
from fontTools.pens.transformPen import TransformPen
from fontTools.svgLib.path import SVGPath

from kiosk.core.base.geometry import Rect
from kiosk.core.base.units import mm_from_points
from kiosk.fonts.collection import for_names
from kiosk.fonts.paragraph import ENDLESS, Align, build_paragraph, shrinking
from kiosk.render.drawing.direction import reads_right_to_left
from kiosk.render.drawing.outline import PathPen

LEAST_PT = 2.0
"""The smallest size; a text that does not fit even then is not set at all."""

_SHRINK = 0.94
_UNITS_PER_MM = 100.0
"""Layout units per millimetre; skia rounds some positions to whole units."""
_SPARE = 1.1
"""How much wider a line may be than its letters one by one: kerning adds some percent at most (practice)."""
_SEPARATE = (range(0x0020, 0x0590), range(0x3000, 0x3100), range(0x4E00, 0xA000), range(0xAC00, 0xD7A4))
"""Letters whose shapes do not depend on their neighbours: Latin, Greek, Cyrillic, Armenian, kana, Han and Hangul
(Unicode blocks). The combining marks among them have no width of their own."""
_ISOLATE_RIGHT_TO_LEFT, _POP = "\u2067", "\u2069"


@dataclass(frozen=True, slots=True)
class SetWords:
    """A text fitted into a box.

    Attributes
    ----------
    text
        The text in logical order.
    size_pt
        The type size that was chosen.
    fits
        Whether that is at least the requested minimum.
    """

    text: str
    size_pt: float
    fits: bool
    _box_mm: Rect
    _paragraph: Any
    _align: Align

    @property
    def block_mm(self) -> Rect:
        """The place of the lines together, with the box's upper left corner at (0, 0)."""
        width, height = (side / _UNITS_PER_MM for side in (self._paragraph.LongestLine, self._paragraph.Height))
        room = self._box_mm.width - width
        left = {"left": 0.0, "centre": room / 2, "right": room}[self._align]
        return Rect(left, (self._box_mm.height - height) / 2, width, height)

    def path(self) -> str:
        """Return the outlines as PDF path operators in mm, y down, with the box's upper left corner at (0, 0)."""
        return _path(self._paragraph, self._box_mm)


def set_words(
    text: str,
    box_mm: Rect,
    *,
    largest_pt: float,
    least_pt: float,
    lines: int = 1,
    align: Align = "left",
    bold: bool = False,
) -> SetWords:
    """Set a text in the largest size at which it fits a box with at most `lines` lines, centred in its height.

    Parameters
    ----------
    text
        A text in any script; letters without a typeface show as boxes (`kiosk.fonts.collection.unwritable` lists them).
    box_mm
        The box.
    largest_pt, least_pt
        The range of type sizes. If not even the smallest fits, the text is set smaller still, and `fits` is false.
    lines
        The maximum number of lines.
    align, bold
        Alignment and weight.
    """
    below = islice(shrinking(least_pt, _SHRINK, LEAST_PT), 1, None)
    for size_pt in chain(shrinking(largest_pt, _SHRINK, least_pt), below):
        paragraph = _paragraph(text, size_pt, align, bold)
        paragraph.layout(ENDLESS)
        line, longest_word = paragraph.Height, paragraph.MinIntrinsicWidth
        paragraph.layout(box_mm.width * _UNITS_PER_MM)
        inside = longest_word <= paragraph.Width and paragraph.Height <= box_mm.height * _UNITS_PER_MM
        if inside and round(paragraph.Height / line) <= lines:
            return SetWords(text, size_pt, size_pt >= least_pt, box_mm, paragraph, align)
    return SetWords("", LEAST_PT, False, box_mm, _paragraph("", LEAST_PT, align, bold), align)


@functools.lru_cache(20_000)
def surely_fits(text: str, box_mm: Rect, least_pt: float, *, bold: bool = False) -> bool:
    """Return whether a text surely fits on one line at its smallest size, by the sizes of its letters alone.

    It takes a hundredth of the time of `set_words`; False means only that `set_words` has to find out.
    """
    sizes = [_letter(letter, least_pt, bold) for letter in text]
    if sum([width for width, _ in sizes]) * _SPARE > box_mm.width * _UNITS_PER_MM:
        return False
    return max([height for _, height in sizes], default=0.0) * _SPARE <= box_mm.height * _UNITS_PER_MM


@functools.lru_cache(20_000)
def _letter(letter: str, size_pt: float, bold: bool) -> tuple[float, float]:
    """Return the width and height of a letter's own line, in layout units; endless where its neighbours matter."""
    if not any(ord(letter) in block for block in _SEPARATE):
        return math.inf, math.inf
    paragraph = _paragraph(letter, size_pt, "left", bold)
    paragraph.layout(ENDLESS)
    return paragraph.MaxIntrinsicWidth, paragraph.Height


def _paragraph(text: str, size_pt: float, align: Align, bold: bool) -> Any:
    isolated = f"{_ISOLATE_RIGHT_TO_LEFT}{text}{_POP}" if reads_right_to_left(text) else text
    size = mm_from_points(size_pt) * _UNITS_PER_MM
    return build_paragraph(isolated, for_names(), size, bold=bold, align=align)


def _inside(ink: tuple[float, float, float, float], width: float, height: float) -> Transform:
    """Return the transform that moves ink back into its box, after scaling it down if it is larger than the box.

    Tails and marks of some scripts extend beyond the width and height that their letters declare.
    """
    left, top, right, bottom = ink
    scale = min(1.0, width / (right - left), height / (bottom - top))
    x = min(max(scale * left, 0.0), width - scale * (right - left)) - scale * left
    y = min(max(scale * top, 0.0), height - scale * (bottom - top)) - scale * top
    return Transform(scale, 0, 0, scale, x, y)


def _path(paragraph: Any, box_mm: Rect) -> str:
    """Return the outlines of a paragraph after layout as PDF path operators in millimetres, y down."""
    width, height = box_mm.width * _UNITS_PER_MM, box_mm.height * _UNITS_PER_MM
    stream = skia.DynamicMemoryWStream()
    flags = skia.SVGCanvas.kConvertTextToPaths_Flag
    canvas = skia.SVGCanvas.Make(skia.Rect.MakeWH(width, height), stream, flags)
    paragraph.paint(canvas, 0.0, (height - paragraph.Height) / 2)
    del canvas
    pen = PathPen(None)
    shapes = SVGPath.fromstring(bytes(stream.detachAsData()))
    bounds = ControlBoundsPen(None)
    shapes.draw(bounds)
    if bounds.bounds is not None:
        shapes.draw(TransformPen(pen, _inside(bounds.bounds, width, height)))
    return pen.operators(1.0 / _UNITS_PER_MM)
