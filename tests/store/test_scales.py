import json
import multiprocessing
import os
import time
from datetime import date

import pytest

from kiosk.core.base.geometry import Size
from kiosk.core.print_colour.chart import chart_for
from kiosk.core.print_colour.judging import Deviation, PageErrors
from kiosk.core.print_colour.proof import ColourPage, ColourProof
from kiosk.core.print_scale.print_journal import Entry
from kiosk.core.print_scale.proof import Proof, RulerPage
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.print_scale.scale import Axis, Scale
from kiosk.core.sheet.imposition import Margins
from kiosk.errors import CannotWrite
from kiosk.store.printing.job_journal import MOST_ENTRIES, JobJournal
from kiosk.store.printing.scales import Scales
from tests.support.power_cut import cut_off

FOUND = Scale(Axis(1.0012, 0.0011, 0.21, 0.1), Axis(0.9991, 0.0008))
PROOF = Proof(FOUND, FOUND, "c0ffee", date(2026, 11, 25))
PAGE = RulerPage(3, ruler_for(Size(101.6, 152.4), Margins()), FOUND, "c0ffee", date(2026, 11, 24))
COLOUR_PAGE = ColourPage(chart_for(Size(101.6, 152.4), Margins(), 4), "tea", date(2026, 11, 24))
COLOUR_FOUND = PageErrors(Deviation(1.5, 1.5), Deviation(2.5, 1.7), ((90.0, 1.0, -1.0),) * 10, 2.5, None)
COLOUR_PROOF = ColourProof(COLOUR_FOUND, "tea", date(2026, 11, 25), 4, 0.7)
NAMES = ("photo", "na_index-4x6_4x6in", "5")


def test_page_and_proof_come_back_as_they_were_each_for_its_own_printer_medium_and_quality(tmp_path):
    scales = Scales(tmp_path / "made")
    assert scales.all() == []
    scales.put_page(*NAMES, PAGE)
    assert scales.get(*NAMES) is None
    scales.put(*NAMES, PROOF)
    again = Scales(tmp_path / "made")
    assert again.get(*NAMES) == PROOF
    assert again.page(*NAMES) == PAGE
    for others in (("phot", *NAMES[1:]), ("photo", "iso_a4_210x297mm", "5"), (*NAMES[:2], "4")):
        assert again.get(*others) is None
    again.put("Photo/1 ü", *NAMES[1:], PROOF)
    again.put("Photo_1 _", *NAMES[1:], PROOF)
    assert sorted(kept.printer for kept in again.all()) == ["Photo/1 ü", "Photo_1 _", "photo"]


def test_a_proof_of_colour_stands_beside_that_of_scale_and_neither_replaces_the_other(tmp_path):
    scales = Scales(tmp_path)
    scales.put(*NAMES, PROOF)
    assert (scales.colour(*NAMES), scales.colour_page(*NAMES)) == (None, None)
    scales.put_colour_page(*NAMES, COLOUR_PAGE)
    scales.put_colour(*NAMES, COLOUR_PROOF)
    scales.put_page(*NAMES, PAGE)
    again = Scales(tmp_path)
    assert again.colour(*NAMES) == COLOUR_PROOF
    assert again.colour_page(*NAMES) == COLOUR_PAGE
    assert (again.get(*NAMES), again.page(*NAMES)) == (PROOF, PAGE)
    assert len(again.all()) == 1


def test_a_file_from_before_there_were_proofs_of_colour_is_still_read(tmp_path):
    scales = Scales(tmp_path)
    scales.put(*NAMES, PROOF)
    (file,) = tmp_path.iterdir()
    kept = json.loads(file.read_text())
    del kept["colour"], kept["colour_page"]
    file.write_text(json.dumps(kept))
    assert scales.get(*NAMES) == PROOF


@pytest.mark.parametrize("damaged", [b"", b"{", b'{"printer": "photo"}', b"\xff"])
def test_a_damaged_file_counts_as_never_measured(tmp_path, damaged):
    scales = Scales(tmp_path)
    scales.put(*NAMES, PROOF)
    (file,) = tmp_path.iterdir()
    file.write_bytes(damaged)
    assert scales.get(*NAMES) is None
    assert scales.all() == []
    scales.put(*NAMES, PROOF)
    assert scales.get(*NAMES) == PROOF


def test_a_folder_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(CannotWrite, match="exists"):
        Scales(tmp_path / "file").put(*NAMES, PROOF)


def test_what_a_crash_left_in_flight_is_unknown_at_the_next_turn_and_ended_sheets_stay_as_they_are(tmp_path):
    states = {"a": "sending", "b": "sent", "c": "printed", "d": "not_printed", "e": "unknown"}
    for key, state in states.items():
        JobJournal(tmp_path).put(Entry(key, state, "photo", 7))
    jobs = JobJournal(tmp_path)
    assert jobs.get("b") == Entry("b", "sent", "photo", 7)
    with jobs.turn() as alone:
        assert alone
    ends = {key: jobs.get(key).state for key in states}
    assert ends == {"a": "unknown", "b": "unknown", "c": "printed", "d": "not_printed", "e": "unknown"}
    assert jobs.get("never") is None


def test_a_damaged_entry_may_have_been_printed(tmp_path):
    jobs = JobJournal(tmp_path)
    jobs.put(Entry("a", "printed", "photo"))
    (tmp_path / "a.json").write_bytes(b"")
    assert jobs.get("a").state == "unknown"


def test_the_journal_does_not_grow_without_end(tmp_path):
    jobs = JobJournal(tmp_path)
    for number in range(MOST_ENTRIES + 5):
        path = tmp_path / f"k{number}.json"
        path.write_text(f'{{"key": "k{number}", "state": "printed", "printer": "photo"}}')
        os.utime(path, (number, number))
    with jobs.turn():
        pass
    assert len(list(tmp_path.glob("*.json"))) == MOST_ENTRIES
    assert jobs.get("k4") is None
    assert jobs.get("k5").state == "printed"


def test_what_a_power_cut_left_of_an_entry_is_gone_with_the_first_turn(tmp_path):
    jobs = JobJournal(tmp_path)
    jobs.put(Entry("a1", "printed", "photo"))
    cut_off(jobs.put, Entry("a1", "unknown", "photo"))
    assert len(list(tmp_path.glob(".a1.json.*"))) == 1
    with jobs.turn() as alone:
        assert alone
    assert sorted(path.name for path in tmp_path.iterdir()) == [".turn", "a1.json"]
    assert jobs.get("a1").state == "printed"


def hold(folder, held, let_go):
    with JobJournal(folder).turn() as alone:
        held.put(alone)
        let_go.wait(60)
    os.kill(os.getpid(), 9)


def test_one_process_at_a_time_has_its_turn_and_a_killed_one_lets_go(tmp_path):
    spawn = multiprocessing.get_context("spawn")
    held, let_go = spawn.Queue(), spawn.Event()
    other = spawn.Process(target=hold, args=(tmp_path, held, let_go))
    other.start()
    assert held.get(timeout=60)
    mine = JobJournal(tmp_path)
    mine.put(Entry("theirs", "sent", "photo"))
    with mine.turn() as alone:
        assert not alone
    assert mine.get("theirs").state == "sent"
    let_go.set()
    other.join(60)
    end_s = time.monotonic() + 60
    while True:
        with mine.turn() as alone:
            if alone:
                break
        assert time.monotonic() < end_s
    assert mine.get("theirs").state == "unknown"
