"""The typefaces for skia's text layout: the bundled ones, and for names in other scripts the machine's Noto fonts.

Screens and sheets use the bundled files only. A name on a badge may be in any script, for which Debian's
fonts-noto-core and fonts-noto-cjk supply the typefaces if they are installed at their usual places.
"""

from __future__ import annotations

import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, get_args

import skia
from skia import textlayout

from kiosk.fonts import FontName, font_path

FAMILIES = (
    "Noto Sans",
    "Noto Sans Arabic",
    "Noto Sans Devanagari",
    "Noto Sans Gurmukhi",
    "Noto Sans Bengali",
    "Noto Sans CJK SC",
)
"""The families of the bundled files, in the order in which they are searched for a letter."""

NAME_SCRIPTS = ("Hebrew", "Armenian", "Georgian", "Thai", "Tamil", "Telugu", "Sinhala", "Khmer", "Ethiopic")
"""Scripts of names that no bundled file covers; Japanese, Korean and rare Chinese characters come from
fonts-noto-cjk."""

_SANS = Path("/usr/share/fonts/truetype/noto")
_CJK = Path("/usr/share/fonts/opentype/noto")
_CJK_FULL = "Noto Sans CJK"


@cache
def bundled() -> Any:
    """Return the bundled typefaces only, so that text is laid out identically on every machine."""
    collection = textlayout.FontCollection()
    collection.setDefaultFontManager(_provider([]))
    return collection


@cache
def for_names() -> tuple[Any, tuple[str, ...]]:
    """Return the typefaces for names, and their families in the order in which they are searched for a letter."""
    collection = textlayout.FontCollection()
    extra = _installed()
    collection.setDefaultFontManager(_provider(extra))
    return collection, (*FAMILIES, *dict.fromkeys(family for family, _ in extra))


def for_text(text: str) -> tuple[Any, tuple[str, ...]]:
    """Return the bundled typefaces if they have all letters of a text, or else those for names."""
    if all(letter.isspace() or _is_bundled(letter) for letter in text):
        return bundled(), FAMILIES
    return for_names()


def unwritable(text: str) -> str:
    """Return the letters of a text that no available typeface has, each once, in the order of the text."""
    return "".join(letter for letter in dict.fromkeys(text) if not _is_writable(letter))


@lru_cache(20_000)
def _is_writable(letter: str) -> bool:
    return letter.isspace() or any(face.unicharToGlyph(ord(letter)) for face in _faces())


@cache
def _is_bundled(letter: str) -> bool:
    invisible = unicodedata.category(letter) == "Cf"
    return invisible or any(face.unicharToGlyph(ord(letter)) for face in _bundled_faces())


@cache
def _bundled_faces() -> tuple[Any, ...]:
    return tuple(_reader().makeFromFile(str(font_path(name)), 0) for name in get_args(FontName))


@cache
def _faces() -> tuple[Any, ...]:
    return (*_bundled_faces(), *(face for _, face in _installed()))


def _provider(extra: list[tuple[str, Any]]) -> Any:
    provider = textlayout.TypefaceFontProvider()
    for name in get_args(FontName):
        provider.registerTypeface(_reader().makeFromFile(str(font_path(name)), 0))
    for family, face in extra:
        provider.registerTypeface(face, family)
    return provider


@cache
def _installed() -> list[tuple[str, Any]]:
    """Return the machine's installed typefaces for names, by family."""
    files = [
        (f"Noto Sans {script}", _SANS / f"NotoSans{script}-{weight}.ttf")
        for script in NAME_SCRIPTS
        for weight in ("Regular", "Bold")
    ]
    files += [(_CJK_FULL, _CJK / f"NotoSansCJK-{weight}.ttc") for weight in ("Regular", "Bold")]
    return [(family, _reader().makeFromFile(str(path), 0)) for family, path in files if path.is_file()]


@cache
def _reader() -> Any:
    return skia.FontMgr.New_Custom_Empty()
