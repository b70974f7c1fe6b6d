"""Words in any script as vector outlines, set into a box: shaped, ordered and wrapped by skia's text layout.

They take the largest size that fits, shrink by steps, and never leave the box. `render.outline` is the plain way for
the sheet's own English words.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Any, Literal

import skia
from fontTools.misc.transform import Transform
from fontTools.pens.boundsPen import ControlBoundsPen
from fontTools.pens.transformPen import TransformPen
from fontTools.svgLib.path import SVGPath
from skia import textlayout

from kiosk.core.base.geometry import Rect
from kiosk.core.base.units import mm_from_points
from kiosk.fonts.collection import for_names
from kiosk.render.drawing.outline import PathPen

Align = Literal["left", "centre", "right"]

LEAST_PT = 2.0
"""Nothing is set smaller; what does not fit even so is not set at all."""

_SHRINK = 0.94
_UNITS_PER_MM = 100.0
"""skia rounds some places to whole units, which are a hundredth of a millimetre here."""
_ENDLESS = 1e6
_ISOLATE_RIGHT_TO_LEFT, _POP = "\u2067", "\u2069"
_ALIGN = {
    "left": textlayout.TextAlign.kLeft,
    "centre": textlayout.TextAlign.kCenter,
    "right": textlayout.TextAlign.kRight,
}


@dataclass(frozen=True, slots=True)
class SetWords:
    """Words set into a box.

    Attributes
    ----------
    size_pt
        The type size that was chosen.
    fits
        Whether that is at least the size asked for.
    """

    size_pt: float
    fits: bool
    _box_mm: Rect
    _paragraph: Any

    def path(self) -> str:
        """Return their shapes as PDF path operators in millimetres, y down, the box's upper left corner at (0, 0)."""
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
    """Set a text in the largest size at which it lies inside the box in so many lines, in the middle of its height.

    Parameters
    ----------
    text
        In any script; letters without a typeface show as boxes (`kiosk.fonts.collection.unwritable` names them).
    box_mm
        Where it must lie.
    largest_pt, least_pt
        Type sizes between which it is set. Where not even the least fits it is set smaller, and `fits` is false.
    lines
        The most lines it may take.
    """
    size_pt = largest_pt
    while True:
        paragraph = _paragraph(text, size_pt, align, bold)
        paragraph.layout(_ENDLESS)
        line, longest_word = paragraph.Height, paragraph.MinIntrinsicWidth
        paragraph.layout(box_mm.width * _UNITS_PER_MM)
        inside = longest_word <= paragraph.Width and paragraph.Height <= box_mm.height * _UNITS_PER_MM
        if inside and round(paragraph.Height / line) <= lines:
            return SetWords(size_pt, size_pt >= least_pt, box_mm, paragraph)
        if size_pt <= LEAST_PT:
            return SetWords(size_pt, False, box_mm, _paragraph("", size_pt, align, bold))
        smaller = max(LEAST_PT, size_pt * _SHRINK)
        size_pt = least_pt if smaller < least_pt < size_pt else smaller


def _paragraph(text: str, size_pt: float, align: Align, bold: bool) -> Any:
    collection, families = for_names()
    letters = textlayout.TextStyle()
    letters.setFontFamilies(list(families))
    letters.setFontSize(mm_from_points(size_pt) * _UNITS_PER_MM)
    letters.setFontStyle(skia.FontStyle.Bold() if bold else skia.FontStyle.Normal())
    style = textlayout.ParagraphStyle()
    style.setTextStyle(letters)
    style.setTextAlign(_ALIGN[align])
    builder = textlayout.ParagraphBuilder.make(style, collection, skia.Unicodes.ICU.Make())
    builder.pushStyle(letters)
    builder.addText(f"{_ISOLATE_RIGHT_TO_LEFT}{text}{_POP}" if _reads_right_to_left(text) else text)
    return builder.Build()


def _reads_right_to_left(text: str) -> bool:
    """Tell the direction of a text by its first strong letter (Unicode Standard Annex 9, P2 and P3)."""
    strong = (kind for kind in map(unicodedata.bidirectional, text) if kind in ("L", "R", "AL"))
    return next(strong, "L") != "L"


def _inside(ink: tuple[float, float, float, float], width: float, height: float) -> Transform:
    """Return what brings ink that reaches beyond its box back into it: a move, after a shrinking where it is larger.

    Tails and marks of some scripts reach beyond the width and the height that their letters claim.
    """
    left, top, right, bottom = ink
    scale = min(1.0, width / (right - left), height / (bottom - top))
    x = min(max(scale * left, 0.0), width - scale * (right - left)) - scale * left
    y = min(max(scale * top, 0.0), height - scale * (bottom - top)) - scale * top
    return Transform(scale, 0, 0, scale, x, y)


def _path(paragraph: Any, box_mm: Rect) -> str:
    """Return the shapes of a laid out paragraph as PDF path operators in millimetres, y down."""
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
