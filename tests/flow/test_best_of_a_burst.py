"""A burst whose first still is spoilt, and two sheets on another paper, on the real parts from start to end."""

import json
import sqlite3
from contextlib import closing

import pytest

from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.devices.sim.scenario import Pose, Scenario
from kiosk.pipeline.sheet_layout import SheetLayout
from tests.support.pilot import booth

SPOILT = Scenario(seed=7, arrives_s=0.5, begins=Pose(), spoil_shots=("eyes_closed",))
LARGER = SheetLayout(medium("5x7in"), Margins(), 2.0)


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("booth")
    papers = {LARGER.medium.short: LARGER}
    with booth(folder, "gb-passport-print", scenario=SPOILT, burst=3, sheets=(1, 2), papers=papers) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        pilot.kept = pilot.parts.files.names()
        pilot.best = pilot.loop.session.still.number
        pilot.tap("accept")
        pilot.tap("sheets", "2")
        pilot.tap("paper", LARGER.medium.short)
        pilot.tap("print")
        pilot.until("collect")
        yield pilot


def test_one_burst_is_enough_and_only_its_best_still_is_kept(printed):
    states = printed.states
    assert states.count("shooting") == 1
    assert states[states.index("review") :] == ["review", "copies", "printing", "collect"]
    assert printed.best in (2, 3), "the eyes were shut in the first"
    assert printed.kept == [f"still-{printed.best}.jpg"]
    assert printed.parts.files.names() == []


def test_two_sheets_of_the_paper_that_was_chosen_are_printed_and_counted(printed):
    """On 5 x 7 in, 127 x 178 mm, lie twelve photos of 35 x 45 mm: three by four, less than the paper by the margins."""
    (record,) = (printed.folder / "prints").glob("*.json")
    told = json.loads(record.read_text())
    assert (told["medium"], told["copies"]) == ("na_5x7_5x7in", 2)
    assert printed.parts.ledger.flush(limit_s=20.0)
    with closing(sqlite3.connect(printed.folder / "state" / "ledger.sqlite3")) as connection:
        rows = connection.execute("SELECT medium, photos, sheets, ended FROM sheet").fetchall()
        assert connection.execute("SELECT number, verdict FROM shot").fetchall() == [(1, "pass")]
    assert [row[0:1] + row[2:] for row in rows] == [("na_5x7_5x7in", 2, "printed")]
    assert rows[0][1] == len(LARGER.impose(printed.loop.session.document).photos) > 8
