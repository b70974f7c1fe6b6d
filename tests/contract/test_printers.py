"""What every printer promises (`kiosk.devices.base.Printer`)."""

from __future__ import annotations

import hashlib
import json
from datetime import date
from pathlib import Path

import pikepdf
import pytest

from kiosk.clock import ManualClock
from kiosk.devices.base import PrintJob
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.errors import PrinterFault

MEDIUM = "na_index-4x6_4x6in"


@pytest.fixture
def printer(tmp_path):
    return FolderPrinter(tmp_path / "made" / "sheets", ManualClock(day=date(2026, 3, 1)))


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "sheet.pdf"
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=(288, 432))
        pdf.save(path)
    return path.read_bytes()


def test_the_sheet_is_kept_byte_for_byte_with_a_record(printer, sheet):
    place = Path(printer.print_sheet(PrintJob("a1", sheet, MEDIUM, copies=2)))
    assert place.read_bytes() == sheet
    record = json.loads(place.with_suffix(".json").read_text())
    assert record == {
        "key": "a1",
        "medium": MEDIUM,
        "copies": 2,
        "bytes": len(sheet),
        "sha256": hashlib.sha256(sheet).hexdigest(),
        "day": "2026-03-01",
    }


def test_a_printer_that_could_print_passes_its_check(printer, sheet):
    printer.check()
    place = Path(printer.print_sheet(PrintJob("a1", sheet, MEDIUM)))
    assert len(list(place.parent.iterdir())) == 2


def test_a_folder_that_is_full_or_none_fails_its_check(tmp_path, full_disk):
    with full_disk(1000), pytest.raises(PrinterFault):
        FolderPrinter(tmp_path).check()
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(PrinterFault, match="not a directory"):
        FolderPrinter(tmp_path / "file" / "sheets").check()


def test_the_same_key_is_never_printed_twice(printer, sheet):
    place = printer.print_sheet(PrintJob("a1", sheet, MEDIUM))
    before = Path(place).stat()
    assert printer.print_sheet(PrintJob("a1", sheet + b" another", MEDIUM)) == place
    after = Path(place).stat()
    assert (after.st_ino, after.st_mtime_ns, after.st_size) == (before.st_ino, before.st_mtime_ns, before.st_size)


def test_a_sheet_without_its_record_was_interrupted_and_is_printed_again(printer, sheet):
    place = Path(printer.print_sheet(PrintJob("a1", sheet, MEDIUM)))
    place.with_suffix(".json").unlink()
    place.write_bytes(sheet[:10])
    printer.print_sheet(PrintJob("a1", sheet, MEDIUM))
    assert place.read_bytes() == sheet


def test_a_folder_that_cannot_be_written_is_a_fault_with_its_reason(tmp_path, sheet):
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(PrinterFault, match="not a directory"):
        FolderPrinter(tmp_path / "file" / "sheets").print_sheet(PrintJob("a1", sheet, MEDIUM))


def test_a_full_disk_is_a_fault_and_nothing_stays_behind(tmp_path, full_disk, sheet):
    folder = tmp_path / "sheets"
    with full_disk(len(sheet) - 1), pytest.raises(PrinterFault):
        FolderPrinter(folder).print_sheet(PrintJob("a1", sheet, MEDIUM))
    assert list(folder.iterdir()) == []


def test_a_disk_that_fills_up_before_the_record_leaves_no_sheet_behind(tmp_path, full_disk):
    folder = tmp_path / "sheets"
    with full_disk(20), pytest.raises(PrinterFault):
        FolderPrinter(folder).print_sheet(PrintJob("a1", b"%PDF-1.7 tiny", MEDIUM))
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("key", ["", "../a1", "a/b", ".hidden", "a" * 101, "a\0b"])
def test_a_key_that_would_leave_the_folder_is_refused(printer, sheet, key):
    with pytest.raises(PrinterFault, match="file name"):
        printer.print_sheet(PrintJob(key, sheet, MEDIUM))
    assert not Path(printer.name).exists()
