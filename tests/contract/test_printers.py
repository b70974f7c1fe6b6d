"""What every printer promises (`kiosk.devices.base.Printer`)."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pikepdf
import pytest

from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.devices.base import Printer, PrintJob
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.printer import CupsPrinter
from kiosk.devices.cups.set_up import Printing
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.errors import PrinterFault
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import SystemClock
from tests.faults.printing.conftest import proven_printer
from tests.support.manual_clock import ManualClock

MEDIUM = "na_index-4x6_4x6in"


@dataclass
class Bench:
    """A printer, and what has come out of it."""

    printer: Printer
    received: Callable[[], list[Path]]


def in_folder(folder):
    sheets = folder / "made" / "sheets"
    yield Bench(FolderPrinter(sheets, ManualClock(day=date(2026, 3, 1))), lambda: sorted(sheets.glob("*.pdf")))


def through_cups(folder):
    with proven_printer(folder) as rig:
        yield Bench(rig.open(), rig.device.received)


@pytest.fixture(params=[in_folder, through_cups], ids=["folder", "CUPS"])
def bench(request, tmp_path):
    yield from request.param(tmp_path)


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


def test_a_printer_that_could_print_passes_its_check_and_prints(bench, sheet):
    bench.printer.check()
    assert bench.received() == []
    assert bench.printer.print_sheet(PrintJob("a1", sheet, MEDIUM))
    assert len(bench.received()) == 1


def test_the_same_key_is_printed_once_and_told_the_same_place(bench, sheet):
    place = bench.printer.print_sheet(PrintJob("a1", sheet, MEDIUM))
    assert bench.printer.print_sheet(PrintJob("a1", sheet, MEDIUM)) == place
    assert bench.printer.print_sheet(PrintJob("a2", sheet, MEDIUM)) != place
    assert len(bench.received()) == 2


def test_a_disk_without_room_is_a_fault_and_nothing_is_printed(bench, full_disk, sheet):
    with full_disk(20), pytest.raises(PrinterFault):
        bench.printer.print_sheet(PrintJob("a1", sheet, MEDIUM))
    assert bench.received() == []
    bench.printer.print_sheet(PrintJob("a1", sheet, MEDIUM))
    assert len(bench.received()) == 1


@pytest.mark.parametrize("key", ["", "../a1", "a/b", ".hidden", "a" * 101, "a\0b"])
def test_a_key_that_could_be_no_file_name_is_refused(key, sheet, tmp_path):
    """Every key on every printer, without a print server: the key is looked at first."""
    how = Printing(medium("4x6in"), Margins())
    cups = CupsPrinter(Queue("photo"), how, Scales(tmp_path / "s"), JobJournal(tmp_path / "j"), SystemClock())
    for printer in (FolderPrinter(tmp_path / "sheets"), cups):
        with pytest.raises(PrinterFault, match="file name"):
            printer.print_sheet(PrintJob(key, sheet, MEDIUM))
    assert not (tmp_path / "sheets").exists()


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


def test_what_a_sheet_came_to_is_known_after_a_restart(bench, sheet):
    bench.printer.print_sheet(PrintJob("a1", sheet, MEDIUM))
    assert bench.printer.how_it_ended("a1") == "printed"
    assert bench.printer.how_it_ended("never-begun") == "not_printed"


def test_a_folder_printer_destroys_what_a_crash_left_of_a_sheet_and_nothing_else(tmp_path, sheet):
    whole, half = "00112233aabbccdd", "99aabbccddeeff00"
    FolderPrinter(tmp_path).print_sheet(PrintJob(whole, sheet, MEDIUM))
    (tmp_path / f"{half}.pdf").write_bytes(sheet)
    (tmp_path / f".{half}.pdf.k3v9x1").write_bytes(sheet[:100])
    (tmp_path / "letter.pdf").write_bytes(sheet)
    FolderPrinter(tmp_path)
    assert {path.name for path in tmp_path.glob("*")} == {f"{whole}.pdf", f"{whole}.json", "letter.pdf", "sheet.pdf"}
