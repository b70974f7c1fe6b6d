"""Read a list of attendees from a CSV file in UTF-8, or from the first sheet of an XLSX workbook."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path

from kiosk.core.event.roster import ListRow
from kiosk.errors import RosterRefused, os_reason
from kiosk.store.roster.workbook import MOST_COLUMNS, workbook_lines
from kiosk.system.plain_file import read_plain

MOST_ROWS = 100_000
MOST_BYTES = 50_000_000
"""Larger lists are refused before they are read: no event has that many people, and a compressed workbook can unpack to
far more."""

_DELIMITERS = ",;\t"
_ZIP = b"PK"
_COMPOUND = bytes.fromhex("D0CF11E0A1B11AE1")
"""How an older workbook begins, and one with a password, whatever its name ([MS-CFB], 2.2; [MS-OFFCRYPTO], 2.3.4)."""


@dataclass(frozen=True, slots=True)
class ListFile:
    """A list as it is in its file, without interpretation of the columns."""

    headings: tuple[str, ...]
    rows: tuple[ListRow, ...]


def read_roster(path: Path) -> ListFile:
    """Return the headings and rows of a list.

    Raises
    ------
    RosterRefused
        The file cannot be read, has no headings, repeats a heading, or has a row with more cells than headings.
    """
    try:
        content = read_plain(path, MOST_BYTES)
    except OSError as error:
        raise RosterRefused(path=path, detail=os_reason(error)) from error
    if content.startswith(_COMPOUND):
        raise RosterRefused(path=path, detail="it is an XLS workbook, or has a password; save it as XLSX without one")
    lines = workbook_lines(path) if content.startswith(_ZIP) else _text(path, content)
    return _table(path, lines)


def _table(path: Path, lines: Iterator[tuple[int, Sequence[str]]]) -> ListFile:
    filled = ((line, cells) for line, cells in lines if any(cells))
    _, first = next(filled, (0, ()))
    headings = tuple(" ".join(cell.split()) for cell in first)
    headings = headings[: max((place for place, heading in enumerate(headings, 1) if heading), default=0)]
    if len(headings) > MOST_COLUMNS:
        raise RosterRefused(path=path, detail=f"it has {len(headings)} columns; {MOST_COLUMNS} are the most")
    if not headings:
        raise RosterRefused(path=path, detail="it has no line of headings")
    if not all(headings):
        raise RosterRefused(path=path, detail=f"its column {headings.index('') + 1} has no heading")
    twice = next((heading for heading in headings if headings.count(heading) > 1), None)
    if twice is not None:
        raise RosterRefused(path=path, detail=f"the heading {twice!r} is there twice")
    rows: list[ListRow] = []
    for line, cells in filled:
        if len(rows) == MOST_ROWS:
            raise RosterRefused(path=path, detail=f"it has more than {MOST_ROWS} rows")
        if any(cells[len(headings) :]):
            detail = f"line {line} has more cells than the {len(headings)} headings; is a separator inside a value?"
            raise RosterRefused(path=path, detail=detail)
        rows.append(ListRow(line, dict(zip_longest(headings, cells[: len(headings)], fillvalue=""))))
    return ListFile(headings, tuple(rows))


def _text(path: Path, content: bytes) -> Iterator[tuple[int, Sequence[str]]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise RosterRefused(path=path, detail=f"line {line} is not UTF-8; save it as “CSV UTF-8” or XLSX") from error
    if "\0" in text:
        raise RosterRefused(path=path, detail="it is neither a text nor an XLSX workbook")
    heading = text.lstrip().partition("\n")[0]
    delimiter = max(_DELIMITERS, key=heading.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        before = 0
        for cells in reader:
            yield before + 1, cells
            before = reader.line_num
    except csv.Error as error:
        raise RosterRefused(path=path, detail=f"line {reader.line_num}: {error}") from error
