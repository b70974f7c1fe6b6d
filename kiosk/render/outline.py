"""Words as vector outlines for PDF pages, so that no page depends on a font.

Glyphs stand side by side without kerning or shaping: right for Latin, Greek and Cyrillic letters and for figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from fontTools.pens.basePen import BasePen
from fontTools.ttLib import TTFont

from kiosk.fonts import FontName, font_path

BASELINE_EM = 0.77
"""From the top of a line to its baseline: the ascender height of Noto Sans."""

_MISSING_GLYPH = ".notdef"


@dataclass(frozen=True, slots=True)
class Outline:
    """A line of words: PDF path operators, y down, the start of the baseline at (0, 0), to be filled.

    The line is one em high: ascenders reach `BASELINE_EM` above the baseline, descenders stay within the rest.
    """

    path: str
    em_mm: float


class _PathPen(BasePen):  # type: ignore[misc]
    """Writes glyphs as PDF path operators; the base class raises quadratic curves to cubic ones."""

    def __init__(self, glyphs: object, scale: float) -> None:
        super().__init__(glyphs)
        self.scale = scale
        self.x = 0.0
        self.operators: list[str] = []

    def _write(self, operator: str, *points: tuple[float, float]) -> None:
        places = (f"{(self.x + x) * self.scale:.4f} {-y * self.scale:.4f}" for x, y in points)
        self.operators.append(" ".join((*places, operator)))

    def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self._write("m", pt)

    def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self._write("l", pt)

    def _curveToOne(  # noqa: N802
        self, pt1: tuple[float, float], pt2: tuple[float, float], pt3: tuple[float, float]
    ) -> None:
        self._write("c", pt1, pt2, pt3)

    def _closePath(self) -> None:  # noqa: N802
        self._write("h")


def words_width_mm(text: str, em_mm: float, font: FontName = "NotoSans-Regular") -> float:
    """Return how long a line of words is."""
    face = _face(font)
    names, widths = face.getBestCmap(), face["hmtx"]
    advance = sum(widths[names.get(ord(letter), _MISSING_GLYPH)][0] for letter in text)
    return float(advance * em_mm / face["head"].unitsPerEm)


def wrapped(text: str, width_mm: float, em_mm: float, font: FontName = "NotoSans-Regular") -> list[str]:
    """Return words broken into lines no longer than a width; a single longer word stands alone."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and words_width_mm(longer, em_mm, font) > width_mm:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def outline(text: str, em_mm: float, font: FontName = "NotoSans-Regular") -> Outline:
    """Return one line of words as outlines, lengths in millimetres; an unknown letter shows as an empty box."""
    face = _face(font)
    names, glyphs = face.getBestCmap(), face.getGlyphSet()
    pen = _PathPen(glyphs, em_mm / face["head"].unitsPerEm)
    for letter in text:
        glyph = glyphs[names.get(ord(letter), _MISSING_GLYPH)]
        glyph.draw(pen)
        pen.x += glyph.width
    return Outline("\n".join(pen.operators) + "\n", em_mm)


@cache
def _face(font: FontName) -> TTFont:
    return TTFont(font_path(font), lazy=True)
