"""The booth's words: one gettext catalogue a language, and the one place that fills their placeholders.

Catalogues are the `.po` files of `kiosk/locale`, read at start; nothing is compiled to disk. Their keys are dotted
names (`instruction.turn_left`); `en.po` is the source text. Each header's `X-Native-Review` says whether a native
speaker has read it.

What fills a placeholder is isolated (U+2068 to U+2069), so that "35 x 45 mm" keeps its order inside Arabic, and a
right-to-left sentence is isolated as a whole (U+2067 to U+2069), which gives it its base direction wherever it is laid
out: Unicode Standard Annex 9, 2.4.2.
"""

from __future__ import annotations

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

from kiosk.core.view.sitter import Price
from kiosk.errors import MissingPart

FOLDER = Path(__file__).with_name("locale")
SOURCE_TAG = "en"
FIRST_STRONG_ISOLATE, RIGHT_TO_LEFT_ISOLATE, POP_ISOLATE = "\u2068", "\u2067", "\u2069"
NO_BREAK_SPACE, RIGHT_TO_LEFT_MARK = "\u00a0", "\u200f"


def available() -> tuple[str, ...]:
    """Return the tags of the languages that have a catalogue, the source first."""
    tags = sorted(path.stem for path in FOLDER.glob("*.po"))
    return (SOURCE_TAG, *(tag for tag in tags if tag != SOURCE_TAG))


def read_catalogue(tag: str) -> Catalog:
    """Return the catalogue of a language as Babel reads it.

    Raises
    ------
    MissingPart
        There is none for that tag.
    """
    path = FOLDER / f"{tag}.po"
    if not path.is_file():
        raise MissingPart(part=f"The catalogue of the language {tag!r}", detail=f"{path.name} is not in {FOLDER}")
    with path.open("rb") as file:
        return read_po(file, locale=_locale(tag), abort_invalid=True)


def is_reviewed(tag: str) -> bool:
    """Return whether a native speaker has read the catalogue, or it is the source text itself."""
    header = re.search(r'^"X-Native-Review: (?!none)', (FOLDER / f"{tag}.po").read_text(encoding="utf-8"), re.MULTILINE)
    return header is not None


def native_name(tag: str) -> str:
    """Return a language's name in its own words and script, as its speakers look for it."""
    name = _locale(tag).get_display_name() or tag
    return name[0].upper() + name[1:]


class Words:
    """The words of one language.

    Attributes
    ----------
    tag
        BCP 47 tag as asked for.
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
    def load(cls, tag: str) -> Words:
        """Return the words of a language; a regional tag (`de-AT`, `zh-SG`) falls back on its language as written.

        Raises
        ------
        MissingPart
            There is no catalogue for that tag.
        """
        exact, locale = tag.replace("_", "-"), _locale(tag)
        tags = (exact, f"{locale.language}-{locale.script}", locale.language)
        return cls(tag, read_catalogue(next((known for known in tags if known in available()), exact)))

    def has(self, key: str) -> bool:
        """Return whether the catalogue knows the key."""
        return key in self._keys or key in self._plural_keys

    def tr(self, key: str, **params: object) -> str:
        """Return the words of a key with its placeholders filled.

        A counted message takes its number as `count`. A key the catalogue does not know is shown as its own last
        part in plain words, so that a measurement newer than the catalogue still reads.
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
        """Return the words of a key that has no placeholders, without marks of direction, for a voice to read."""
        return self._messages.gettext(key)

    def own(self, text: str) -> str:
        """Return text that came from elsewhere (a document's title) ready to be laid out among these words."""
        return self._whole(isolated(text)) if text else ""

    def joined(self, *texts: str) -> str:
        """Return texts of these words side by side, in their reading order."""
        return self._whole(" · ".join(texts))

    def date(self, iso_date: str) -> str:
        """Return a day in the language's long form."""
        return format_date(date.fromisoformat(iso_date), "long", locale=self._locale)

    def minutes(self, count: int) -> str:
        """Return a number of minutes with its unit, as the language shortens it."""
        return format_unit(count, "duration-minute", length="short", locale=self._locale)

    def money(self, price: Price) -> str:
        """Return a price as the language writes it, its direction left to the isolate that it stands in."""
        return format_currency(price.amount, price.currency, locale=self._locale).replace(RIGHT_TO_LEFT_MARK, "")

    def country(self, code: str) -> str:
        """Return the name of a country, from its ISO 3166-1 code of two letters: the catalogue's own, or CLDR's."""
        key = f"country.{code}"
        return self.tr(key) if self.has(key) else self._whole(self._locale.territories.get(code, code))

    def _whole(self, text: str) -> str:
        return f"{RIGHT_TO_LEFT_ISOLATE}{text}{POP_ISOLATE}" if self.is_right_to_left else text


class _Isolated(dict[str, str]):
    """Placeholders as text that keeps its own direction; a number stays on one line with its unit."""

    def __init__(self, params: Mapping[str, object]) -> None:
        super().__init__({name: isolated(str(value)) for name, value in params.items()})


def isolated(text: str) -> str:
    """Return text that keeps its own direction inside any other; a number stays on one line with its unit."""
    kept = text.replace(" ", NO_BREAK_SPACE) if text[:1].isdecimal() else text
    return f"{FIRST_STRONG_ISOLATE}{kept}{POP_ISOLATE}"


def _locale(tag: str) -> Locale:
    try:
        return Locale.parse(tag.replace("_", "-"), sep="-")
    except (UnknownLocaleError, ValueError) as error:
        raise MissingPart(part=f"The language {tag!r}", detail=str(error)) from error
