"""Lines of text in Noto Sans, and their outlines.

Glyphs are set side by side without kerning or shaping, which suits Latin, Greek and Cyrillic letters and digits only.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from fontTools.pens.basePen import BasePen
from fontTools.ttLib import TTFont

from kiosk.fonts import FontName, font_path

BASELINE_EM = 0.77
"""Distance from the top of a line to its baseline: the ascender height of Noto Sans."""

_MISSING_GLYPH = ".notdef"


@dataclass(frozen=True, slots=True)
class Outline:
    """A line of text, one em high: ascenders reach `BASELINE_EM` above the baseline, descenders fit the remainder."""

    text: str
    em_mm: float
    font: FontName

    @property
    def path(self) -> str:
        """The outlines as PDF path operators in millimetres; y points down, and the baseline starts at (0, 0)."""
        scale, pen_x, lines = self.em_mm / _units_per_em(self.font), 0.0, []
        for letter in self.text:
            glyph = _glyph(letter, self.font)
            for operator, points in glyph.path:
                places = (f"{(pen_x + x) * scale:.4f} {-y * scale:.4f}" for x, y in points)
                lines.append(" ".join((*places, operator)))
            pen_x += glyph.advance
        return "\n".join(lines) + "\n"


@dataclass(frozen=True, slots=True)
class _Glyph:
    """A letter in the font's design units, y up: its advance width, and its path as operators with their points."""

    advance: float
    path: tuple[tuple[str, tuple[tuple[float, float], ...]], ...]


class PathPen(BasePen):  # type: ignore[misc]
    """Records a glyph as PDF path operators; the base class converts quadratic curves to cubic ones."""

    def __init__(self, glyphs: object) -> None:
        super().__init__(glyphs)
        self.path: list[tuple[str, tuple[tuple[float, float], ...]]] = []

    def operators(self, scale: float) -> str:
        """Return the path with its coordinates multiplied by `scale`."""
        lines = (
            " ".join((*(f"{x * scale:.4f} {y * scale:.4f}" for x, y in points), name)) for name, points in self.path
        )
        return "".join(f"{line}\n" for line in lines)

    def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self.path.append(("m", (pt,)))

    def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self.path.append(("l", (pt,)))

    def _curveToOne(self, pt1: tuple[float, float], pt2: tuple[float, float], pt3: tuple[float, float]) -> None:  # noqa: N802
        self.path.append(("c", (pt1, pt2, pt3)))

    def _closePath(self) -> None:  # noqa: N802
        self.path.append(("h", ()))


def words_width_mm(text: str, em_mm: float, font: FontName = "NotoSans-Regular") -> float:
    """Return the width of a line of text."""
    return sum(_glyph(letter, font).advance for letter in text) * em_mm / _units_per_em(font)


def wrapped(text: str, width_mm: float, em_mm: float, font: FontName = "NotoSans-Regular") -> list[str]:
    """Break a text into lines no longer than a width; a single longer word gets a line of its own."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and words_width_mm(longer, em_mm, font) > width_mm:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def outline(text: str, em_mm: float, font: FontName = "NotoSans-Regular") -> Outline:
    """Return a line of text; an unknown letter shows as an empty box."""
    return Outline(text, em_mm, font)


@cache
def _glyph(letter: str, font: FontName) -> _Glyph:
    face = face_of(font)
    glyphs = face.getGlyphSet()
    glyph = glyphs[face.getBestCmap().get(ord(letter), _MISSING_GLYPH)]
    pen = PathPen(glyphs)
    glyph.draw(pen)
    return _Glyph(float(glyph.width), tuple(pen.path))


@cache
def _units_per_em(font: FontName) -> int:
    return int(face_of(font)["head"].unitsPerEm)


@cache
def face_of(font: FontName) -> TTFont:
    """Return a typeface, read from its file as far as it is needed."""
    return TTFont(font_path(font), lazy=True)
