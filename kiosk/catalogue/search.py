"""Find documents by id, country or word, in any letter case and in the languages of the booth."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import cache

from babel import Locale
from babel.core import get_global

from kiosk.catalogue.documents import Catalogue
from kiosk.core.document.document import Document
from kiosk.i18n import available

CODE_LETTERS = 2
"""Latin words of up to so many letters are codes, of a country or in an id, and have to be met whole."""

_ALSO = {"GB": "Great Britain, British", "TR": "Turkey", "US": "America, American"}
"""Names that clerks use, and that are not among a country's own in CLDR (from memory)."""


def find(catalogue: Catalogue, asked: Iterable[str]) -> tuple[Document, ...]:
    """Return the documents with these ids or, where one is no id, those in which every word occurs.

    Raises
    ------
    UnknownDocument
        No document has all of the words.
    """
    asked = list(asked)
    ids = [text.lower() for text in asked]
    if all(each in catalogue.documents for each in ids):
        return tuple(catalogue.documents[each] for each in dict.fromkeys(ids))
    words = _words(" ".join(asked))
    found = tuple(document for document in catalogue.all() if words and _has_all(document, words))
    return found or (catalogue.get(" ".join(asked)),)


def _has_all(document: Document, words: Iterable[str]) -> bool:
    kinds = (kind.replace("_", " ") for kind in document.kinds)
    codes = set(_words(" ".join((document.id, *_codes(document.country)))))
    named = (document.id, document.title, document.authority, *kinds, _names(document.country), *codes)
    text = _plain(" ".join(named))
    return all(word in codes if word.isascii() and len(word) <= CODE_LETTERS else word in text for word in words)


@cache
def _codes(country: str | None) -> tuple[str, ...]:
    """Return a country's codes; `UK` is one of them (CLDR, territory aliases)."""
    aliases = (alias for alias, meant in get_global("territory_aliases").items() if meant == [country])
    return () if country is None else (country, *aliases)


@cache
def _names(country: str | None) -> str:
    """Return a country's names in the booth's languages, and what else it is called."""
    locales = (Locale.parse(tag, sep="-") for tag in available())
    return " ".join([*(locale.territories.get(country or "", "") for locale in locales), _ALSO.get(country or "", "")])


def _words(text: str) -> list[str]:
    return re.findall(r"\w+", _plain(text))


def _plain(text: str) -> str:
    """Return a text without its letter case and accents."""
    parts = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in parts if not unicodedata.combining(letter))
