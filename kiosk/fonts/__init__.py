"""The typefaces of screens and sheets: Noto Sans for Latin, Greek and Cyrillic, and one for each other script."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

FontName = Literal[
    "NotoSans-Regular",
    "NotoSans-Bold",
    "NotoSansArabic-Regular",
    "NotoSansArabic-Bold",
    "NotoSansDevanagari-Regular",
    "NotoSansDevanagari-Bold",
    "NotoSansGurmukhi-Regular",
    "NotoSansGurmukhi-Bold",
    "NotoSansBengali-Regular",
    "NotoSansBengali-Bold",
    "NotoSansSC-Regular",
    "NotoSansSC-Bold",
]

FONTS_CONF = Path(__file__).with_name("fonts.conf")
"""A fontconfig configuration without any of the machine's own typefaces."""


def font_path(name: FontName) -> Path:
    """Return the OpenType file of a typeface; the Chinese one has cubic outlines, the others quadratic ones."""
    suffix = "otf" if name.startswith("NotoSansSC") else "ttf"
    return Path(__file__).with_name(f"{name}.{suffix}")
