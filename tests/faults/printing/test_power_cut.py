"""The booth loses its power between noting a sheet and learning what became of it."""

import pytest

from kiosk.core.print_scale.print_journal import Entry
from kiosk.errors import SheetUnknown
from kiosk.store.printing.job_journal import JobJournal
from tests.faults.printing.conftest import sheet
from tests.support.virtual_printer import wait_for


@pytest.mark.parametrize("state", ["sending", "sent"])
def test_a_sheet_on_its_way_at_a_power_cut_is_left_to_the_attendant(rig, state):
    JobJournal(rig.folder / "jobs").put(Entry("a1", state, "photo", 7))
    printer = rig.open()
    with pytest.raises(SheetUnknown):
        printer.print_sheet(sheet("a1"))
    assert rig.device.received() == []
    printer.print_sheet(sheet("a2"))


def test_what_waits_at_the_server_after_a_power_cut_is_purged_and_never_printed(rig):
    rig.lab.connection().disablePrinter("photo")
    queue = rig.open()._queue
    queue.send(queue.create({"media": "4x6"}), sheet().pdf)
    assert rig.kept()
    rig.lab.connection().enablePrinter("photo")
    rig.lab.connection().disablePrinter("photo")
    printer = rig.open()
    with pytest.raises(Exception, match="paused"):
        printer.check()
    assert rig.kept() == []


def test_what_ended_at_the_server_while_the_booth_was_off_is_purged(rig):
    """CUPS 2.4.2 tells no name of a job that it no longer has in its memory, unless it is asked for more than that."""
    queue = rig.open()._queue
    queue.send(queue.create({"media": "4x6"}), sheet().pdf)
    log = rig.lab.folder / "log" / "error"
    wait_for(lambda: "Unloading..." in log.read_text(errors="replace"), "the server kept the job in its memory")
    rig.open().check()
    assert rig.kept() == []
