"""The typefaces of the screens and the sheets: Noto Sans for Latin, Greek and Cyrillic, Noto Sans Arabic for Arabic."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

FontName = Literal["NotoSans-Regular", "NotoSans-Bold", "NotoSansArabic-Regular", "NotoSansArabic-Bold"]

FONTS_CONF = Path(__file__).with_name("fonts.conf")
"""A fontconfig configuration that knows none of the typefaces of the machine."""


def font_path(name: FontName) -> Path:
    """Return the TrueType file of a typeface."""
    return Path(__file__).with_name(f"{name}.ttf")
