"""Paragraphs of skia's text layout, and the type sizes to try until a text fits its box."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, Literal

import skia
from skia import textlayout

Align = Literal["left", "centre", "right"]

ENDLESS = 1e6
"""A layout width at which no word is broken: in a narrower layout skia reports the parts of a word that it broke."""

_ALIGN: Mapping[Align, Any] = {
    "left": textlayout.TextAlign.kLeft,
    "centre": textlayout.TextAlign.kCenter,
    "right": textlayout.TextAlign.kRight,
}


def build_paragraph(
    text: str,
    typefaces: tuple[Any, Sequence[str]],
    size: float,
    *,
    bold: bool = False,
    align: Align = "left",
    argb: int | None = None,
    strut: Any = None,
) -> Any:
    """Return a paragraph that is not laid out yet.

    Parameters
    ----------
    text
        The text in any script, in logical order.
    typefaces
        A font collection and the families to use, as `kiosk.fonts.collection` returns them.
    size
        The type size, in the unit of the later layout.
    bold, align, argb
        Weight, alignment, and colour as 0xAARRGGBB; black by default.
    strut
        A `StrutStyle` that gives all lines the same height; None lets each line take its own.
    """
    collection, families = typefaces
    letters = textlayout.TextStyle()
    letters.setFontFamilies(list(families))
    letters.setFontSize(size)
    if argb is not None:
        letters.setColor(argb)
    letters.setFontStyle(skia.FontStyle.Bold() if bold else skia.FontStyle.Normal())
    style = textlayout.ParagraphStyle()
    style.setTextStyle(letters)
    if strut is not None:
        style.setStrutStyle(strut)
    style.setTextAlign(_ALIGN[align])
    builder = textlayout.ParagraphBuilder.make(style, collection, _unicode())
    builder.pushStyle(letters)
    builder.addText(text)
    return builder.Build()


def shrinking(size: float, factor: float, least: float) -> Iterator[float]:
    """Yield `size` and then ever smaller sizes, each `factor` times the one before, down to `least`."""
    yield size
    while size > least:
        size = max(least, size * factor)
        yield size


@cache
def _unicode() -> Any:
    return skia.Unicodes.ICU.Make()
