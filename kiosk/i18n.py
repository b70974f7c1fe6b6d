"""The booth's words: one gettext catalogue per language, and the only place that fills their placeholders.

The catalogues are the `.po` files in `kiosk/locale`, each read when it is first used; nothing is compiled to disk.
Their keys are dotted names (`instruction.turn_left`); `en.po` is the source text. The header `X-Native-Review` of each
says whether a native speaker has reviewed it.

The text of a placeholder is isolated (U+2068 to U+2069), so that "35 x 45 mm" keeps its order inside Arabic. A
right-to-left sentence is isolated as a whole (U+2067 to U+2069), which sets its base direction wherever it is laid out:
Unicode Standard Annex 9, 2.4.2.
"""

from __future__ import annotations

import functools
import gettext
import re
from collections.abc import Mapping
from datetime import date
from io import BytesIO
from pathlib import Path

from babel import Locale
from babel.core import UnknownLocaleError
from babel.dates import format_date
from babel.messages import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import format_currency
from babel.units import format_unit

from kiosk.core.view.choice import Price
from kiosk.errors import MissingPart

FOLDER = Path(__file__).with_name("locale")
SOURCE_TAG = "en"
FIRST_STRONG_ISOLATE, RIGHT_TO_LEFT_ISOLATE, POP_ISOLATE = "\u2068", "\u2067", "\u2069"
SIGNS: Mapping[str, str] = {"EUR": "€", "GBP": "£"}
"""Signs of currencies, by ISO 4217, that a language may write otherwise."""
NO_BREAK_SPACE, RIGHT_TO_LEFT_MARK = "\u00a0", "\u200f"


def available() -> tuple[str, ...]:
    """Return the tags of the languages that have a catalogue, the source language first."""
    tags = sorted(path.stem for path in FOLDER.glob("*.po"))
    return (SOURCE_TAG, *(tag for tag in tags if tag != SOURCE_TAG))


def read_catalogue(tag: str) -> Catalog:
    """Read the catalogue of a language.

    Raises
    ------
    MissingPart
        There is no catalogue for that tag.
    """
    path = FOLDER / f"{tag}.po"
    if not path.is_file():
        raise MissingPart(part=f"The catalogue of the language {tag!r}", detail=f"{path.name} is not in {FOLDER}")
    with path.open("rb") as file:
        return read_po(file, locale=_locale(tag), abort_invalid=True)


def is_reviewed(tag: str) -> bool:
    """Return whether a native speaker has reviewed the catalogue, or whether it is the source text itself."""
    header = re.search(r'^"X-Native-Review: (?!none)', (FOLDER / f"{tag}.po").read_text(encoding="utf-8"), re.MULTILINE)
    return header is not None


def native_name(tag: str) -> str:
    """Return a language's name in the language itself, as its speakers look for it."""
    name = _locale(tag).get_display_name() or tag
    return name[0].upper() + name[1:]


class Words:
    """The words of one language.

    Attributes
    ----------
    tag
        The BCP 47 tag as it was requested.
    is_right_to_left
        Whether the language is written from right to left.
    """

    def __init__(self, tag: str, catalogue: Catalog) -> None:
        self.tag = tag
        self._locale = _locale(tag)
        self.is_right_to_left = self._locale.text_direction == "rtl"
        self._plural_keys = {message.id[0] for message in catalogue if message.pluralizable}
        self._keys = {message.id for message in catalogue if message.id and not message.pluralizable}
        compiled = BytesIO()
        write_mo(compiled, catalogue)
        compiled.seek(0)
        self._messages = gettext.GNUTranslations(compiled)

    @classmethod
    @functools.cache
    def load(cls, tag: str) -> Words:
        """Load the words of a language, once; a regional tag (`de-AT`, `zh-SG`) falls back to its language and script.

        Raises
        ------
        MissingPart
            There is no catalogue for that tag.
        """
        exact, locale = tag.replace("_", "-"), _locale(tag)
        tags = (exact, f"{locale.language}-{locale.script}", locale.language)
        return cls(tag, read_catalogue(next((known for known in tags if known in available()), exact)))

    def has(self, key: str) -> bool:
        """Return whether the catalogue has the key."""
        return key in self._keys or key in self._plural_keys

    def tr(self, key: str, **params: object) -> str:
        """Return the words of a key with its placeholders filled.

        A message with a plural takes its number as `count`. A key that is not in the catalogue is shown as its last
        part in plain words, so that a measurement newer than the catalogue is still readable.

        Raises
        ------
        TypeError
            `count` is not a whole number.
        """
        if key in self._plural_keys:
            count = params["count"]
            if not isinstance(count, int):
                raise TypeError(f"{key} counts whole things, not {count!r}")
            message = self._messages.ngettext(key, key, count)
        elif key in self._keys:
            message = self._messages.gettext(key)
        else:
            message = key.rsplit(".", 1)[-1].replace("_", " ").capitalize()
        return self._whole(message.format_map(_Isolated(params)))

    def bare(self, key: str) -> str:
        """Return the words of a key without placeholders and without direction marks, for the voice to read."""
        return self._messages.gettext(key)

    def own(self, text: str) -> str:
        """Return text from elsewhere, such as a document's title, isolated for use among these words."""
        return self._whole(isolated(text)) if text else ""

    def joined(self, *texts: str) -> str:
        """Return several texts side by side, in reading order."""
        return self._whole(" · ".join(texts))

    def date(self, iso_date: str) -> str:
        """Return a day in the language's long form."""
        return format_date(date.fromisoformat(iso_date), "long", locale=self._locale)

    def minutes(self, count: int) -> str:
        """Return a number of minutes with the language's abbreviated unit."""
        return format_unit(count, "duration-minute", length="short", locale=self._locale)

    def duration(self, seconds: int) -> str:
        """Return a time as whole minutes from two minutes on, else in steps of five seconds, with abbreviated units."""
        if seconds >= 120:
            return self.minutes(round(seconds / 60))
        return format_unit(max(round(seconds / 5) * 5, 5), "duration-second", length="short", locale=self._locale)

    def money(self, price: Price) -> str:
        """Return a price as the language writes it, without direction marks, since the placeholder isolates it.

        CLDR tells the currencies of all countries apart ("UK£", "£GB"); where a booth stands there is only one pound.
        """
        written = format_currency(price.amount, price.currency, locale=self._locale).replace(RIGHT_TO_LEFT_MARK, "")
        known = self._locale.currency_symbols.get(price.currency, price.currency)
        return written.replace(known, SIGNS.get(price.currency, known))

    def country(self, code: str) -> str:
        """Return the name of a country by its ISO 3166-1 alpha-2 code: the catalogue's own, or else CLDR's."""
        key = f"country.{code}"
        return self.tr(key) if self.has(key) else self._whole(self._locale.territories.get(code, code))

    def _whole(self, text: str) -> str:
        return f"{RIGHT_TO_LEFT_ISOLATE}{text}{POP_ISOLATE}" if self.is_right_to_left else text


class _Isolated(dict[str, str]):
    """The values of placeholders, each isolated."""

    def __init__(self, params: Mapping[str, object]) -> None:
        super().__init__({name: isolated(str(value)) for name, value in params.items()})


def isolated(text: str) -> str:
    """Return text with marks that keep its own direction inside any other; a number is never parted from its unit."""
    unbroken = text.replace(" ", NO_BREAK_SPACE) if text[:1].isdecimal() else text
    return f"{FIRST_STRONG_ISOLATE}{unbroken}{POP_ISOLATE}"


def _locale(tag: str) -> Locale:
    try:
        return Locale.parse(tag.replace("_", "-"), sep="-")
    except (UnknownLocaleError, ValueError) as error:
        raise MissingPart(part=f"The language {tag!r}", detail=str(error)) from error
