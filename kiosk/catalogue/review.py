"""A person's comparison of documents with the authorities' own pages: which values, and the answers on a worksheet.

`kiosk.render.report.worksheet` writes the worksheet. Its rows are numbered, and each document's block carries a digest
of its rules: answers to values that have changed since are refused instead of being taken for the new ones.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import get_args

from kiosk.catalogue.documents import Catalogue
from kiosk.core.document.confirmation import Confirmation, last_read, questions_for_office, unread
from kiosk.core.document.document import Document
from kiosk.core.document.limits import Provenance
from kiosk.core.document.requirements import Channel
from kiosk.errors import WorksheetRefused, os_reason

BY, ON, RULES, PAGE, CHANNEL = "Read by", "On", "Rules", "Page that was read", "From a booth"
"""The names of the worksheet's fields; a colon follows each."""

_BLOCK = re.compile(r"== ([a-z0-9-]+): .* ==")
_ROW = re.compile(r"\[(.?)\] (\d+)\. (.*)")
_ARROW = re.compile(r"\s+->(.*)")
_FIELD = re.compile(rf"({'|'.join((BY, ON, RULES, PAGE, CHANNEL))})(?: \([^)]*\))?:(.*)")
_DIGEST_LETTERS = 12

MOST_BYTES = 4_000_000
"""The largest file that is read as a worksheet: eight times one of all shipped documents."""


@dataclass(frozen=True, slots=True)
class Row:
    """One value to compare; `rule` is None for a key of which no page that was read says anything."""

    number: int
    key: str
    rule: Provenance | None


@dataclass(frozen=True, slots=True)
class Reviewed:
    """The answers on one document.

    Attributes
    ----------
    document
        The document.
    confirmation
        The confirmation that the answers make, or None where a value differs or was not looked at.
    differing
        The rows of which the page says something else, and what.
    open_rows
        The rows that were not looked at.
    looked_at
        How many rows were.
    """

    document: Document
    confirmation: Confirmation | None
    differing: tuple[tuple[Row, str], ...]
    open_rows: tuple[Row, ...]
    looked_at: int


def rows(document: Document, catalogue: Catalogue) -> tuple[Row, ...]:
    """Return the values to compare with the authority's pages: all but shared limits, and what no page can state."""
    asked = asks_channel(document)
    keyed: list[tuple[str, Provenance | None]] = [
        (key, rule)
        for key, rule in document.rules()
        if rule.evidence != "measured"
        and catalogue.common.get(key.removeprefix("capture.")) != rule
        and not (asked and key == "channel")
    ]
    keyed += [(key, None) for key in unread(document)]
    return tuple(Row(number, key, rule) for number, (key, rule) in enumerate(keyed, start=1))


def asks_channel(document: Document) -> bool:
    """Return whether the worksheet asks what the office says of photos from a booth."""
    return "channel" in questions_for_office(document)


def digest(compared: Iterable[Row]) -> str:
    """Return a digest of the rows' values."""
    text = "\n".join(f"{row.key} {row.rule.model_dump_json() if row.rule else ''}" for row in compared)
    return hashlib.sha256(text.encode()).hexdigest()[:_DIGEST_LETTERS]


def read_worksheet(path: Path) -> str:
    """Return the text of a worksheet's file.

    Raises
    ------
    WorksheetRefused
        It is no file of text, or larger than any worksheet.
    """
    try:
        if not path.is_file() or path.stat().st_size > MOST_BYTES:
            raise WorksheetRefused(line=1, detail=f"{path} is no file of at most {MOST_BYTES:,} bytes")
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise WorksheetRefused(line=1, detail=f"{path} is not text in UTF-8") from None
    except OSError as error:
        raise WorksheetRefused(line=1, detail=f"{path}: {os_reason(error)}") from error


def read_answers(text: str, catalogue: Catalogue, today: date) -> tuple[Reviewed, ...]:
    """Read a worksheet that a person has filled in.

    Raises
    ------
    WorksheetRefused
        A box, a day, a page or an answer is not as the worksheet asks for it, or the rules have changed since.
    UnknownDocument
        The worksheet is about a document that is not in the catalogue.
    """
    head, *blocks = _split(text)
    return tuple(_reviewed(block, head, catalogue, today) for block in blocks)


@dataclass
class _Block:
    """The lines of one document, or of the worksheet's head, taken apart."""

    name: str
    line: int
    fields: dict[str, str]
    boxes: dict[int, tuple[str, int]]
    arrows: dict[int, str]


def _split(text: str) -> Iterator[_Block]:
    block, row = _Block("", 1, {}, {}, {}), 0
    for number, line in enumerate(text.splitlines(), start=1):
        if found := _BLOCK.fullmatch(line.strip()):
            yield block
            block, row = _Block(found[1], number, {}, {}, {}), 0
        elif found := _ROW.match(line):
            row = int(found[2])
            block.boxes[row] = (found[1].strip().lower(), number)
        elif row and (found := _ARROW.fullmatch(line)):
            block.arrows[row] = found[1].strip()
        elif found := _FIELD.fullmatch(line):
            block.fields[found[1]] = found[2].strip()
    yield block


def _reviewed(block: _Block, head: _Block, catalogue: Catalogue, today: date) -> Reviewed:
    document = catalogue.get(block.name)
    compared = rows(document, catalogue)
    if block.fields.get(RULES) != digest(compared):
        raise WorksheetRefused(line=block.line, detail=f"the rules of {document.id} are no longer those printed here")
    marks = {row.number: _mark(block, row) for row in compared}
    differing = tuple((row, block.arrows[row.number]) for row in compared if marks[row.number] == "!")
    open_rows = tuple(row for row in compared if not marks[row.number])
    confirmation = None if differing or open_rows else _confirmation(block, head, document, today)
    return Reviewed(document, confirmation, differing, open_rows, len(compared) - len(open_rows))


def _mark(block: _Block, row: Row) -> str:
    """Return a row's mark: x, an exclamation mark or nothing."""
    mark, line = block.boxes.get(row.number, ("?", block.line))
    answer = block.arrows.get(row.number, "")
    if mark not in ("x", "!", ""):
        raise WorksheetRefused(line=line, detail=f"row {row.number} of {block.name} needs [x], [!] or [ ]")
    if (mark == "!") != bool(answer):
        raise WorksheetRefused(line=line, detail=f"[!] in row {row.number} and what the page says belong together")
    return mark


def _confirmation(block: _Block, head: _Block, document: Document, today: date) -> Confirmation:
    by, page, answered = head.fields.get(BY), block.fields.get(PAGE), block.fields.get(CHANNEL)
    try:
        day = date.fromisoformat(head.fields.get(ON, ""))
    except ValueError:
        raise WorksheetRefused(line=head.line, detail=f"{ON!r} needs a day, such as 2026-12-01") from None
    if not last_read(document) <= day <= today:
        detail = f"{ON!r} is not between {last_read(document)}, when the rules of {document.id} were read, and today"
        raise WorksheetRefused(line=head.line, detail=detail)
    if not by:
        raise WorksheetRefused(line=head.line, detail=f"{BY!r} needs a name")
    if not page:
        raise WorksheetRefused(line=block.line, detail=f"{PAGE!r} of {document.id} needs an address or a title")
    channel = next((known for known in get_args(Channel) if known == answered), None)
    if answered and channel is None:
        raise WorksheetRefused(line=block.line, detail=f"{CHANNEL!r} is one of {', '.join(get_args(Channel))}")
    return Confirmation(document=document.id, by=by, on=day, source=page, channel=channel)
