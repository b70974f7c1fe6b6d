"""What the desk remembers is whole after a power cut, and nothing else is left of it."""

from contextlib import closing

import pytest

from kiosk.booth.attendant_desk import AttendantDesk, DeskComponents
from kiosk.core.attendant.state import DeskConfig
from kiosk.store.desk_memory import DeskMemory, Remembered
from tests.support.manual_clock import ManualClock
from tests.support.power_cut import cut_off

BEFORE = Remembered(wrong=1, sheets=17, is_shut=True, on_their_way=(("a", 2), ("b", 1)))


def desk_of(memory):
    return AttendantDesk(DeskComponents(DeskConfig(True), "", memory, ManualClock(), list, lambda jpeg: None))


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
    desk_of(memory).close()
    assert sorted((tmp_path / "state").iterdir()) == [others, tmp_path / "state" / "desk.json"]
    assert memory.get() == BEFORE


def test_a_folder_that_is_not_there_yet_is_tidy(tmp_path):
    DeskMemory(tmp_path / "state" / "desk.json").tidy()
    assert list(tmp_path.iterdir()) == []


def test_a_file_from_before_sheets_on_their_way_were_remembered_keeps_its_count(memory, tmp_path):
    old = '{"wrong":1,"sheets":17,"is_shut":true,"wrong_on_page":2}\n'
    (tmp_path / "state" / "desk.json").write_text(old)
    assert memory.get() == Remembered(wrong=1, sheets=17, is_shut=True, wrong_on_page=2)


def test_the_next_start_counts_what_came_out_once(memory):
    for _ in range(2):
        with closing(desk_of(memory)) as desk:
            desk.settle({"a": "printed", "b": "unknown"}.__getitem__)
        assert memory.get() == Remembered(wrong=1, sheets=15, is_shut=True)


def test_a_flush_waits_for_what_is_on_its_way(memory):
    with closing(desk_of(memory)) as desk:
        desk.sent("c", 3)
        desk.flush()
        assert memory.get().on_their_way == (*BEFORE.on_their_way, ("c", 3))
