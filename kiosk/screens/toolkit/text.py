"""Text on the screens: skia's text layout shapes, orders, wraps and fits it into its box, in the bundled typefaces."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, replace
from itertools import chain, islice
from typing import Any

import skia
from skia import textlayout

from kiosk.fonts.collection import for_text
from kiosk.fonts.paragraph import ENDLESS, Align, build_paragraph, shrinking
from kiosk.screens.toolkit.theme import ThemeColour, TypeScale

LINES = {
    "ARABIC": ("Noto Sans Arabic", 1.4),
    "DEVANAGARI": ("Noto Sans Devanagari", 1.3),
    "GURMUKHI": ("Noto Sans Gurmukhi", 1.3),
    "BENGALI": ("Noto Sans Bengali", 1.3),
}
"""For each script, by the first word of its letters' Unicode names: the family that sets a line's proportions, and the
line's height in ems. Their marks need more room than Latin ones."""

LINES_ELSE = ("Noto Sans", 1.2)
LINES_STACKED = ("Noto Sans", 1.3)
"""The same for Vietnamese, which puts two marks on one letter."""

CAPITAL_HEIGHT = 0.714
"""Height of a capital H of Noto Sans, in ems (OS/2 sCapHeight 714 of 1000 units)."""

_SHRINK = 0.92
LEAST = 8.0
"""The smallest type size in design pixels, even if a box has no room at all."""


@dataclass(frozen=True, slots=True)
class Style:
    """How a text is set: colour, weight and alignment."""

    colour: ThemeColour
    bold: bool = False
    align: Align = "left"


@dataclass(frozen=True, slots=True)
class Block:
    """A text laid out in a box, ready to paint.

    Attributes
    ----------
    size
        The chosen type size, in design pixels.
    width, height
        The extent of the lines, in design pixels.
    style
        Colour, weight and alignment.
    fits
        Whether the text fits its box at a size of its scale. Otherwise it is set smaller, but never truncated.
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
    smallest = float(scale[-1])
    for size in chain(map(float, scale), islice(shrinking(smallest, _SHRINK, LEAST), 1, None)):
        block = _lay(text, width, height, size, style)
        if block.fits:
            break
    return replace(block, fits=block.fits and block.size >= smallest)


class Settled(tuple[int, ...]):
    """A scale that was restricted to the sizes that a whole group of texts fits."""


def largest_common(texts: list[str], width: float, height: float, scale: TypeScale, style: Style) -> TypeScale:
    """Restrict a scale to sizes that all texts of a group fit, so that they are all set in the same one."""
    sizes = [fit(text, width, height, scale, style).size for text in texts]
    smallest = min(sizes, default=scale[0])
    return Settled(tuple(size for size in scale if size <= smallest) or scale[-1:])


def _lay(text: str, width: float, height: float, size: float, style: Style) -> Block:
    paragraph = _paragraph(text, size, style)
    paragraph.layout(width if _breaks_anywhere(text) else ENDLESS)
    longest_word = paragraph.MinIntrinsicWidth
    paragraph.layout(width)
    fits = longest_word <= width and paragraph.Height <= height
    return Block(text, size, paragraph.LongestLine, paragraph.Height, style, fits, paragraph)


def _paragraph(text: str, size: float, style: Style) -> Any:
    strut = _strut(size, *_lines(text))
    argb = style.colour.argb
    return build_paragraph(text, for_text(text), size, bold=style.bold, align=style.align, argb=argb, strut=strut)


def _strut(size: float, family: str, height: float) -> Any:
    """Return a strut that gives every line the same height, whichever typefaces occur in it."""
    strut = textlayout.StrutStyle()
    strut.setFontFamilies([family])
    strut.setFontSize(size)
    strut.setHeight(height)
    strut.setHeightOverride(True)
    strut.setStrutEnabled(True)
    strut.setForceStrutHeight(True)
    return strut


def _breaks_anywhere(text: str) -> bool:
    """Return whether lines may break between any two letters, as in Chinese."""
    return any(unicodedata.east_asian_width(letter) == "W" for letter in text)


def _lines(text: str) -> tuple[str, float]:
    """Return the family and line height for a text, by its first letter that needs more room than Latin ones."""
    for letter in text:
        if "\u1ea0" <= letter <= "\u1ef9":
            return LINES_STACKED
        script = unicodedata.name(letter, "").partition(" ")[0]
        if script in LINES:
            return LINES[script]
    return LINES_ELSE
