"""The folder of the journal cannot be used, or another program prints: no sheet is sent that nobody would remember."""

import pytest

from kiosk.errors import CannotWrite, PrinterFault
from kiosk.store.printing.job_journal import JobJournal
from tests.faults.printing.conftest import sheet


def test_a_journal_that_cannot_be_made_is_told_and_nothing_is_sent(rig):
    (rig.folder / "jobs").write_text("not a folder")
    printer = rig.open()
    for ask in (printer.check, lambda: printer.print_sheet(sheet())):
        with pytest.raises(PrinterFault, match=r"the journal of jobs cannot be written \(file exists\)"):
            ask()
    assert rig.device.received() == []


def test_opening_a_journal_raises_nothing_and_using_it_an_error_with_a_next_step(tmp_path):
    (tmp_path / "file").write_text("not a folder")
    jobs = JobJournal(tmp_path / "file" / "jobs")
    with pytest.raises(CannotWrite, match="not a directory"):
        jobs.get("a1")
    with pytest.raises(CannotWrite, match="not a directory"), jobs.turn():
        pass


def test_a_second_program_waits_for_its_turn_and_touches_nothing_of_the_first(rig):
    printer = rig.open()
    rig.device.say("media-low")
    ended = rig.begin(printer, "a1")
    rig.on_its_way()
    other = rig.open()
    other.check()
    waiting = rig.begin(other, "a2")
    assert len(rig.kept()) == 2  # the first one's document and job
    rig.device.say()
    assert isinstance(rig.wait(ended), str)
    assert isinstance(rig.wait(waiting), str)
    assert len(rig.device.received()) == 2
