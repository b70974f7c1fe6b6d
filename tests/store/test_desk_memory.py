"""What the desk remembers is whole after a power cut, and nothing else is left of it."""

import pytest

from kiosk.booth.attendant_desk import AttendantDesk, DeskComponents
from kiosk.core.attendant.state import DeskConfig
from kiosk.store.desk_memory import DeskMemory, Remembered
from tests.support.manual_clock import ManualClock
from tests.support.power_cut import cut_off

BEFORE = Remembered(wrong=1, sheets=17, is_shut=True)


@pytest.fixture
def memory(tmp_path):
    made = DeskMemory(tmp_path / "state" / "desk.json")
    made.put(BEFORE)
    return made


def test_it_comes_back_as_it_was_kept(memory, tmp_path):
    assert DeskMemory(tmp_path / "state" / "desk.json").get() == BEFORE
    assert DeskMemory(tmp_path / "elsewhere" / "desk.json").get() == Remembered()


def test_the_desks_next_start_removes_what_a_power_cut_left(memory, tmp_path):
    others = tmp_path / "state" / ".backdrop.json.abcdefgh"
    others.write_bytes(b"{}")
    cut_off(memory.put, Remembered(sheets=16))
    assert len(list((tmp_path / "state").glob(".desk.json.*"))) == 1
    AttendantDesk(DeskComponents(DeskConfig(True), "", memory, ManualClock(), list, lambda jpeg: None)).close()
    assert sorted((tmp_path / "state").iterdir()) == [others, tmp_path / "state" / "desk.json"]
    assert memory.get() == BEFORE


def test_a_folder_that_is_not_there_yet_is_tidy(tmp_path):
    DeskMemory(tmp_path / "state" / "desk.json").tidy()
    assert list(tmp_path.iterdir()) == []
