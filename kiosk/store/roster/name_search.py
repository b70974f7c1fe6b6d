"""People of a roster's list by their names: found, told apart from namesakes, and spelt letter by letter.

Names are compared by their search keys (`search_key`), which are stored with a space before each word, so that a word
begins wherever a space is followed by it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa

from kiosk.core.event.roster import search_key
from kiosk.store.roster.database import PEOPLE

FOUND = 20
"""The most people that a search returns: nobody reads more on a screen."""

PersonRow = sa.Row[Any]
"""A row of the table of people."""


def with_name(transaction: sa.Connection, name: str) -> Sequence[PersonRow]:
    """Return the people on the list who have this name, ignoring case and accents, sorted by id."""
    same = (PEOPLE.c.search == f" {search_key(name)}") & PEOPLE.c.listed
    return transaction.execute(sa.select(PEOPLE).where(same).order_by(PEOPLE.c.id)).all()


def matching(transaction: sa.Connection, text: str) -> Sequence[PersonRow]:
    """Return the person with this id, or else the people whose names have words starting with those of the text.

    Names that start with the text come first.
    """
    rows = transaction.execute(sa.select(PEOPLE).where(PEOPLE.c.id == text.strip())).all()
    words = search_key(text).split()
    if rows or not words:
        return rows
    as_begun = sa.case((PEOPLE.c.search.like(f" {' '.join(words)}%"), 0), else_=1)
    listed = sa.select(PEOPLE).where(PEOPLE.c.listed, *_begun_by(words))
    return transaction.execute(listed.order_by(as_begun, PEOPLE.c.search, PEOPLE.c.id).limit(FOUND)).all()


def letters_after(transaction: sa.Connection, text: str) -> tuple[str, ...]:
    """Return the letters that can follow `text` in a name; a space if another word can follow."""
    *whole, begun = search_key(text).split() if text and not text.endswith(" ") else [*search_key(text).split(), ""]
    like = _begun_by([word for word in (*whole, begun) if word])
    names = transaction.execute(sa.select(PEOPLE.c.search).where(PEOPLE.c.listed, *like)).scalars()
    words = [name.split() for name in names]
    letters = {word[len(begun)] for name in words for word in name if word.startswith(begun) and word != begun}
    goes_on = begun and any(len(name) > len(whole) + 1 and begun in name for name in words)
    return (*((" ",) if goes_on else ()), *sorted(letters))


def _begun_by(words: Sequence[str]) -> list[sa.ColumnElement[bool]]:
    return [PEOPLE.c.search.like(f"% {word}%") for word in words]
