"""The first sheet of an XLSX workbook, read in a process of its own with a limit on memory and time.

A workbook is an archive of XML: a few kilobytes can unpack to gigabytes, and a damaged one can break its reader in any
way. Whatever happens to the child, the caller gets rows or a sentence. The child is `python -m` this module.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import zipfile
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from kiosk.errors import RosterRefused, os_reason

MOST_UNPACKED_BYTES = 200_000_000
"""The size of all parts of a workbook together; 100,000 people with ten columns take 60 MB."""
MOST_PARTS = 1000
MOST_LINES = 1_048_576
"""The number of lines of a sheet (ECMA-376, as office programs write it)."""
MOST_COLUMNS = 200
"""Lists with more are refused before their rows are read: a badge has a dozen values."""
_MEMORY_BYTES = 1_000_000_000
"""The child's address space: 100,000 people with ten columns take half of it."""
_TIME_S = 120
"""The child's processor time; a list of 100,000 takes a fifth of it."""
_WAIT_S = 900
"""The longest wait for the child, on a busy machine."""
_REFUSED = 3
"""The child's exit code when it has a sentence, on its standard output."""


class _TooWide(Exception):
    """A cell lies where no list has any."""


def workbook_lines(path: Path) -> Iterator[tuple[int, Sequence[str]]]:
    """Yield the lines of the first sheet that have a cell, with their numbers.

    Raises
    ------
    RosterRefused
        It is too large, too wide, or damaged.
    """
    _check_size(path)
    command = [sys.executable, "-m", __spec__.name, str(path)]
    try:
        read = subprocess.run(command, capture_output=True, check=False, timeout=_WAIT_S)
    except subprocess.TimeoutExpired as error:
        raise RosterRefused(path=path, detail=f"it was not read within {_WAIT_S} s") from error
    if read.returncode == _REFUSED:
        raise RosterRefused(path=path, detail=read.stdout.decode())
    if read.returncode:
        raise RosterRefused(path=path, detail="it needs more memory or time than a list of people")
    for line in read.stdout.splitlines():
        number, cells = json.loads(line)
        yield number, cells


def _check_size(path: Path) -> None:
    """Refuse an archive by its table of contents; what is read of a part ends at the size that stands there."""
    try:
        with zipfile.ZipFile(path) as archive:
            parts = archive.infolist()
    except OSError as error:
        raise RosterRefused(path=path, detail=os_reason(error)) from error
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise RosterRefused(path=path, detail=f"it is a damaged workbook ({error})") from error
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED_BYTES:
        raise RosterRefused(
            path=path, detail=f"it is larger than {MOST_UNPACKED_BYTES // 1_000_000} MB when it is unpacked"
        )


def _rows(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Yield the lines as the child reads them.

    Raises
    ------
    _TooWide
        It has more lines or columns than a list of people.
    """
    import openpyxl
    from openpyxl.utils.cell import get_column_letter
    from openpyxl.worksheet._reader import WorkSheetParser

    book = openpyxl.load_workbook(path, read_only=True, data_only=True)
    sheet = book.worksheets[0]
    with sheet._get_source() as source:
        # openpyxl's own rows are filled up with empty ones, a million before a cell that somebody has left at the end
        parser = WorkSheetParser(
            source,
            sheet._shared_strings,
            data_only=True,
            epoch=book.epoch,
            date_formats=book._date_formats,
            timedelta_formats=book._timedelta_formats,
        )
        for line, found in parser.parse():
            cells = {cell["column"]: text for cell in found if (text := _cell(cell["value"]))}
            if not cells:
                continue
            if line > MOST_LINES or max(cells) > MOST_COLUMNS:
                where = f"{get_column_letter(max(cells))}{line}"
                raise _TooWide(f"its cell {where} lies beyond {MOST_COLUMNS} columns; empty what is not the list")
            yield line, [cells.get(column, "") for column in range(1, max(cells) + 1)]


def _cell(value: Any) -> str:
    """Return a cell as a person reads it: a whole number without its point, a day without its midnight."""
    match value:
        case None:
            return ""
        case float() if value.is_integer():
            return str(int(value))
        case datetime() if value.time() == datetime.min.time():
            return value.date().isoformat()
        case datetime() | date():
            return value.isoformat()
        case _:
            return str(value)


def _main() -> int:
    """Print the lines as JSON, one a line, or why there are none."""
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY_BYTES, _MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (_TIME_S, _TIME_S))
    sys.modules["numpy"] = None  # type: ignore[assignment]  # which openpyxl would load, and which reserves much
    try:
        lines = [json.dumps(row) for row in _rows(Path(sys.argv[1]))]
    except MemoryError:
        return 1
    except _TooWide as error:
        print(error, end="")
        return _REFUSED
    except Exception as error:
        print(f"it is a damaged workbook ({type(error).__name__}: {error})"[:200], end="")
        return _REFUSED
    print("\n".join(lines))
    return 0


if __name__ == "__main__":
    sys.exit(_main())
