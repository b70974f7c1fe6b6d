"""A printer that is a folder: it keeps the exact PDF and a record of the job beside it.

The record is written last and makes the job done: a sheet without one was interrupted, and is destroyed when the
printer is opened again.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import tempfile
from pathlib import Path

from kiosk.core.session.facts import SheetEnd
from kiosk.devices.base import PrintJob
from kiosk.errors import PrinterFault, os_reason
from kiosk.system.atomic_files import destroy, write_whole
from kiosk.system.clock import Clock, SystemClock

ROOM_BYTES = 32 * 2**20
"""More than an A4 sheet of photos at 600 dpi takes without loss."""

_KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}")
_SHEET = re.compile(r"[0-9a-f]{16}\.pdf")
_PART = re.compile(r"\.[0-9a-f]{16}\.(?:pdf|json)\..+")
"""A part of a file that was being written by `write_whole`, under a key of the booth."""


class FolderPrinter:
    """Keep `<key>.pdf` and `<key>.json` in a folder; a key that has a record is not printed again.

    Opening it destroys what a crash has left of a sheet.

    Parameters
    ----------
    folder
        Made when the first sheet comes.
    clock
        Dates the record.

    Raises
    ------
    PrinterFault
        Something that a crash has left cannot be destroyed.
    """

    def __init__(self, folder: Path, clock: Clock | None = None) -> None:
        self._folder = folder
        self._clock = clock or SystemClock()
        try:
            for left in self._interrupted():
                destroy(left)
        except OSError as error:
            raise self._fault(error) from error

    @property
    def name(self) -> str:
        """The folder's path."""
        return str(self._folder)

    @property
    def notice(self) -> str:
        """Nothing: a folder does not run out by degrees."""
        return ""

    def check(self) -> None:
        """Return where the folder takes a file as large as a sheet.

        Raises
        ------
        PrinterFault
            It cannot be written or is full.
        """
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=self._folder) as file:
                os.posix_fallocate(file.fileno(), 0, ROOM_BYTES)
        except OSError as error:
            raise self._fault(error) from error

    def print_sheet(self, job: PrintJob) -> str:
        """Keep the sheet and return the path of its PDF.

        Raises
        ------
        PrinterFault
            The folder cannot be written or is full; no part of the sheet stays there.
        """
        if not _KEY.fullmatch(job.key):
            raise PrinterFault(printer=self.name, detail=f"the job key {job.key[:100]!r} cannot be a file name")
        sheet = self._folder / f"{job.key}.pdf"
        record = self._folder / f"{job.key}.json"
        try:
            if record.exists():
                return str(sheet)
            self._folder.mkdir(parents=True, exist_ok=True)
            write_whole(sheet, job.pdf)
            try:
                write_whole(record, self._record(job))
            except OSError:
                sheet.unlink(missing_ok=True)
                raise
        except OSError as error:
            raise self._fault(error) from error
        return str(sheet)

    def how_it_ended(self, key: str) -> SheetEnd:
        """Return whether the sheet has its record."""
        return "printed" if (self._folder / f"{key}.json").exists() else "not_printed"

    def _interrupted(self) -> list[Path]:
        """Return files under names of the booth's own that no record makes a sheet."""
        if not self._folder.is_dir():
            return []
        names = {path.name: path for path in self._folder.iterdir() if path.is_file()}
        sheets = [path for name, path in names.items() if _SHEET.fullmatch(name) and f"{path.stem}.json" not in names]
        return sheets + [path for name, path in names.items() if _PART.fullmatch(name)]

    def _fault(self, error: OSError) -> PrinterFault:
        return PrinterFault(printer=self.name, detail=os_reason(error))

    def _record(self, job: PrintJob) -> bytes:
        facts = {
            "key": job.key,
            "medium": job.medium,
            "copies": job.copies,
            "bytes": len(job.pdf),
            "sha256": hashlib.sha256(job.pdf).hexdigest(),
            "day": self._clock.today().isoformat(),
        }
        return (json.dumps(facts, indent=2) + "\n").encode()
