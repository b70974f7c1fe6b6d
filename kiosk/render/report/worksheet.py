"""The worksheet for comparing documents with the authorities' own pages; `kiosk.catalogue.review` reads it back."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import get_args

from kiosk.catalogue.documents import Catalogue
from kiosk.catalogue.review import BY, CHANNEL, ON, PAGE, RULES, Reviewed, Row, asks_channel, digest, rows
from kiosk.core.document.document import Document
from kiosk.core.document.requirements import Channel
from kiosk.render.report.explain import citation
from kiosk.render.report.rule_words import EVIDENCE_WORDS, label, rule_words

WIDTH = 100
_INDENT = " " * 4
_HEAD = f"""Worksheet: rules to compare with the authority's own pages

Open the pages named at "Where to look", and compare each value.
  [x]  the page says the same; at "not read": it says nothing of it either
  [!]  the page says something else; write what behind the arrow
  [ ]  not looked at yet
Then read the file back: holdstill documents review --answers FILE

{BY}:
{ON} (YYYY-MM-DD):
"""


def worksheet(documents: Sequence[Document], catalogue: Catalogue) -> str:
    """Return the worksheet as text to fill in by an editor, or by hand on a printout."""
    return "\n".join([_HEAD, *("\n".join(_block(document, catalogue)) for document in documents)])


def _block(document: Document, catalogue: Catalogue) -> Iterator[str]:
    compared = rows(document, catalogue)
    names = list(dict.fromkeys(name for row in compared if row.rule for name in row.rule.source))
    yield f"== {document.id}: {document.title} =="
    yield f"{RULES}: {digest(compared)}"
    yield "Where to look:"
    yield f"{_INDENT}{document.authority}"
    yield from (citation(number, name, catalogue.sources.get(name)) for number, name in enumerate(names, start=1))
    yield f"{PAGE}:"
    if asks_channel(document):
        yield f"{CHANNEL} ({', '.join(get_args(Channel)[:-1])}; empty if nobody was asked):"
    yield ""
    for row in compared:
        yield from _row(row, names)
    yield ""


def _row(row: Row, names: list[str]) -> Iterator[str]:
    yield _wrapped(f"[ ] {row.number}. {_words(row)}")
    if row.rule is not None:
        cited = " ".join(f"[{names.index(name) + 1}]" for name in row.rule.source)
        yield f"{_INDENT}{cited} {EVIDENCE_WORDS[row.rule.evidence]}, {row.rule.read_on}"
    yield f"{_INDENT}->"


def _wrapped(text: str) -> str:
    return textwrap.fill(text, WIDTH, subsequent_indent=_INDENT, break_long_words=False, break_on_hyphens=False)


def outcome(reviewed: Reviewed) -> str:
    """Return what a document's answers have led to, and what is to be done next."""
    name, confirmation = reviewed.document.id, reviewed.confirmation
    if confirmation is not None:
        return f"{name}: confirmed by {confirmation.by}"
    if reviewed.differing:
        lines = [f"{_INDENT}{_words(row)} -> {answer}" for row, answer in reviewed.differing]
        return "\n".join([f"{name}: not confirmed, the page says otherwise; have the rules corrected:", *lines])
    if not reviewed.looked_at:
        return f"{name}: not looked at"
    numbers = ", ".join(str(row.number) for row in reviewed.open_rows)
    return f"{name}: not confirmed yet, rows to look at: {numbers}"


def _words(row: Row) -> str:
    return f"{label(row.key)}: {'not read' if row.rule is None else rule_words(row.rule)}"
