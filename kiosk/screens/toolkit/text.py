"""Type: shaped, ordered, wrapped and fitted to its box by skia's text layout, with the bundled typefaces."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Literal

import skia
from skia import textlayout

from kiosk.fonts.collection import for_text
from kiosk.screens.toolkit.theme import ThemeColour, TypeScale

Align = Literal["left", "centre", "right"]

LINES = {
    "ARABIC": ("Noto Sans Arabic", 1.4),
    "DEVANAGARI": ("Noto Sans Devanagari", 1.3),
    "GURMUKHI": ("Noto Sans Gurmukhi", 1.3),
    "BENGALI": ("Noto Sans Bengali", 1.3),
}
"""By script, as Unicode names its letters: whose proportions a line has, and its height in ems. Marks need the room."""

LINES_ELSE = ("Noto Sans", 1.2)
LINES_STACKED = ("Noto Sans", 1.3)
"""For the two marks on one letter of Vietnamese."""

CAPITAL_HEIGHT = 0.714
"""Height of a capital H of Noto Sans, in ems (OS/2 sCapHeight 714 of 1000 units)."""

_ALIGN = {
    "left": textlayout.TextAlign.kLeft,
    "centre": textlayout.TextAlign.kCenter,
    "right": textlayout.TextAlign.kRight,
}
_SHRINK = 0.92
_ENDLESS = 1e5
"""A width at which no word is broken: skia gives the longest word of a narrower layout in pieces."""
LEAST = 8.0
"""Nothing is set smaller, even where a box has no room at all."""


@dataclass(frozen=True, slots=True)
class Style:
    """How a text is set: weight, side and colour."""

    colour: ThemeColour
    bold: bool = False
    align: Align = "left"


@dataclass(frozen=True, slots=True)
class Block:
    """A text laid out in a box, ready to paint.

    Attributes
    ----------
    size
        Type size that was chosen, in design pixels.
    width, height
        What the lines take.
    style
        Its weight, side and colour.
    fits
        Whether it fits its box at a size of its scale. A text that does not is set smaller, never cut.
    """

    text: str
    size: float
    width: float
    height: float
    style: Style
    fits: bool
    paragraph: Any

    def paint(self, canvas: skia.Canvas, x: float, y: float) -> None:
        """Paint with the box's left edge at x and the first line's top at y."""
        self.paragraph.paint(canvas, x, y)


def fit(text: str, width: float, height: float, scale: TypeScale, style: Style) -> Block:
    """Lay a text out in the largest size of `scale` at which every word and line lies inside the box."""
    block = None
    for step in scale:
        block = _lay(text, width, height, float(step), style)
        if block.fits:
            return block
    size = float(scale[-1])
    while block is None or (not block.fits and size > LEAST):
        size *= _SHRINK
        block = _lay(text, width, height, size, style)
    return replace(block, fits=False)


class Settled(tuple[int, ...]):
    """A scale that a group of texts has agreed on."""


def largest_common(texts: list[str], width: float, height: float, scale: TypeScale, style: Style) -> TypeScale:
    """Return the scale cut down to the largest size that all texts of one group fit, so that they share it."""
    sizes = [fit(text, width, height, scale, style).size for text in texts]
    smallest = min(sizes, default=scale[0])
    return Settled(tuple(size for size in scale if size <= smallest) or scale[-1:])


def _lay(text: str, width: float, height: float, size: float, style: Style) -> Block:
    paragraph = _paragraph(text, size, style)
    paragraph.layout(width if _breaks_anywhere(text) else _ENDLESS)
    longest_word = paragraph.MinIntrinsicWidth
    paragraph.layout(width)
    fits = longest_word <= width and paragraph.Height <= height
    return Block(text, size, paragraph.LongestLine, paragraph.Height, style, fits, paragraph)


def _paragraph(text: str, size: float, style: Style) -> Any:
    typefaces, families = for_text(text)
    letters = textlayout.TextStyle()
    letters.setFontFamilies(list(families))
    letters.setFontSize(size)
    letters.setColor(style.colour.argb)
    letters.setFontStyle(skia.FontStyle.Bold() if style.bold else skia.FontStyle.Normal())
    lines = textlayout.ParagraphStyle()
    lines.setTextStyle(letters)
    lines.setStrutStyle(_strut(size, *_lines(text)))
    lines.setTextAlign(_ALIGN[style.align])
    builder = textlayout.ParagraphBuilder.make(lines, typefaces, _unicode())
    builder.pushStyle(letters)
    builder.addText(text)
    return builder.Build()


def _strut(size: float, family: str, height: float) -> Any:
    """Return one height for every line, whichever typefaces meet in it."""
    strut = textlayout.StrutStyle()
    strut.setFontFamilies([family])
    strut.setFontSize(size)
    strut.setHeight(height)
    strut.setHeightOverride(True)
    strut.setStrutEnabled(True)
    strut.setForceStrutHeight(True)
    return strut


def _breaks_anywhere(text: str) -> bool:
    """Return whether lines may break between letters, as in Chinese."""
    return any(unicodedata.east_asian_width(letter) == "W" for letter in text)


def _lines(text: str) -> tuple[str, float]:
    """Return the proportions and the height of the lines of a text: those of its first letter with needs of its own."""
    for letter in text:
        if "\u1ea0" <= letter <= "\u1ef9":
            return LINES_STACKED
        script = unicodedata.name(letter, "").partition(" ")[0]
        if script in LINES:
            return LINES[script]
    return LINES_ELSE


@cache
def _unicode() -> Any:
    return skia.Unicodes.ICU.Make()
