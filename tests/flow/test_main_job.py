"""The main job from welcome to collect, on the real parts, faster than time."""

import json
import re
import sqlite3
import subprocess
from contextlib import closing
from dataclasses import astuple, fields
from fnmatch import fnmatch
from pathlib import Path

import pytest

from kiosk.booth.loop import TICK_S
from kiosk.core.base.geometry import Point
from kiosk.core.session.instructions import Instruction
from kiosk.devices.sim.scenario import Pose, Scenario
from kiosk.system.json_log import keep_log
from tests.support.pilot import booth

BADLY = Pose(x=0.1, scale=1.35, yaw_deg=16.0, pitch_deg=-6.0, roll_deg=4.0, eyes_open=False)
SPOILT = Scenario(seed=7, arrives_s=4.0, begins=BADLY, spoil_shots=("eyes_closed",))


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    """Return a pilot that has gone through a session: bad start, one spoilt shot, a printed sheet."""
    folder = tmp_path_factory.mktemp("booth")
    log = keep_log(folder / "log", "till 2")
    with log, booth(folder, "gb-passport-print", scenario=SPOILT, tick_s=TICK_S) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        pilot.points = pilot.loop.session.still.judgement.observation.points
        pilot.tap("accept")
        pilot.until("collect")
        yield pilot


def test_the_sitter_is_coached_shot_twice_and_leaves_with_a_sheet(printed):
    assert printed.states == [
        "welcome",
        "choose",
        "prepare",
        "privacy",
        "align",
        "shooting",
        "measuring",
        "align",
        "shooting",
        "measuring",
        "review",
        "printing",
        "collect",
    ]


def test_the_session_is_counted_for_a_monitoring_server(printed):
    counts = printed.loop._tally.counts()
    assert counts.shots == {"fail": 1, "pass": 1}
    assert (counts.words["eyes_open", "fail"], counts.words["eyes_open", "pass"]) == (1, 1)
    assert counts.sheets == {"printed": 1}
    assert 0 < counts.pictures < counts.frames


def test_the_coach_saw_what_was_wrong(printed):
    said = {view.align.instruction for view in printed.views}
    assert {Instruction.SIT_DOWN, Instruction.MOVE_BACK, Instruction.TURN_RIGHT, Instruction.HOLD_STILL} <= said


def test_the_spoilt_shot_failed_for_its_eyes(printed):
    first = next(view for view in printed.views if view.review.verdict != "unmeasured")
    assert first.review.verdict == "fail"
    assert "eyes_open" in first.review.reasons


def test_the_result_was_shown_with_its_lines_and_its_photo(printed):
    review = next(view for view in printed.views if view.state == "review")
    assert review.review.verdict == "pass"
    assert review.review.photo_jpeg.startswith(b"\xff\xd8")
    assert 29.0 <= review.review.photo_points_mm.head_height_px() <= 34.5
    assert {row.word for row in review.review.rows} == {"pass", "advise"}
    assert {row.key for row in review.review.rows if row.word == "advise"} == {"framing", "geometry"}


def test_the_sheet_is_the_paper_at_true_size(printed):
    """Poppler's pdfinfo, an independent reader, gives the boxes in points: 4 x 6 in is 288 x 432 pt."""
    sheets = list((printed.folder / "prints").glob("*.pdf"))
    assert len(sheets) == 1
    told = subprocess.run(["pdfinfo", "-box", sheets[0]], check=True, capture_output=True, text=True).stdout
    assert "288 x 432 pts" in told
    record = json.loads(sheets[0].with_suffix(".json").read_text())
    assert record["medium"] == "na_index-4x6_4x6in"


def ledger_rows(pilot, query):
    assert pilot.parts.ledger.flush(limit_s=20.0)
    with closing(sqlite3.connect(pilot.folder / "state" / "ledger.sqlite3")) as connection:
        return connection.execute(query).fetchall()


def test_the_ledger_has_the_session_with_its_document_and_its_ending(printed):
    kept = ledger_rows(printed, "SELECT ending, language, document, consented_at > began_at FROM session")
    assert kept == [("printed", "en", "gb-passport-print", 1)]


def test_the_ledger_has_each_shots_verdict_and_every_requirements_word(printed):
    assert ledger_rows(printed, "SELECT number, verdict FROM shot") == [(1, "fail"), (2, "pass")]
    words = dict(ledger_rows(printed, "SELECT requirement, word FROM finding WHERE shot_id = 1"))
    assert words["eyes_open"] == "fail"
    review = next(view for view in printed.views if view.state == "review")
    # Shut eyes show no white to judge the colour of the light by.
    assert words.keys() | {"natural_colour"} == {row.key for row in review.review.rows}


def test_the_ledger_counts_the_sheet_under_the_key_of_the_printers_own_record(printed):
    """Eight photos of 35 x 45 mm lie on 4 x 6 in: two by four, as placed on the sheet."""
    (record,) = (printed.folder / "prints").glob("*.json")
    counted = ledger_rows(printed, "SELECT key, document, medium, photos, sheets, ended FROM sheet")
    assert counted == [(record.stem, "gb-passport-print", "na_index-4x6_4x6in", 8, 1, "printed")]


def test_nothing_of_the_sitter_is_kept(printed):
    assert printed.parts.files.names() == []
    assert printed.view.review.photo_jpeg == b""
    printed.tap("done")
    assert printed.view.state == "thanks"
    printed.tap("done")
    assert printed.view.state == "welcome"
    assert printed.parts.worker.seen() is None


PAGE = Path(__file__).parents[2] / "hardware" / "os" / "privacy.md"


def on_the_disk(pilot):
    assert pilot.parts.ledger.flush(limit_s=20.0)
    return {path.relative_to(pilot.folder).as_posix(): path for path in pilot.folder.rglob("*") if path.is_file()}


def test_what_is_on_the_disk_is_what_the_privacy_page_says(printed):
    promised = re.findall(r"^\| `([^`]+)` \|", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    found = on_the_disk(printed)
    assert [name for name in found if not any(fnmatch(name, pattern) for pattern in promised)] == []
    for pattern in ("session/.holdstill-session", "state/ledger.sqlite3*", "log/holdstill.jsonl*", "prints/*.pdf"):
        assert pattern in promised
        assert any(fnmatch(name, pattern) for name in found), pattern


def test_no_picture_is_in_anything_but_the_folder_printers_sheets(printed):
    """A JPEG begins with FF D8 FF (ISO/IEC 10918-1, B.1.1.3), a PNG with 89 50 4E 47 (ISO/IEC 15948, 5.2)."""
    for name, path in on_the_disk(printed).items():
        if not fnmatch(name, "prints/*.pdf"):
            assert b"\xff\xd8\xff" not in path.read_bytes(), name
            assert b"\x89PNG" not in path.read_bytes(), name


def numbers_of_the_face(pilot):
    """Return every coordinate of the face, in pixels and in millimetres, to six figures."""
    review = next(view for view in pilot.views if view.state == "review")
    heads = (pilot.points, review.review.photo_points_mm)
    points = [getattr(head, field.name) for head in heads for field in fields(head)]
    return {f"{number:.9g}"[:7] for point in points if isinstance(point, Point) for number in astuple(point)}


def test_no_point_of_the_face_is_in_anything(printed):
    numbers = numbers_of_the_face(printed)
    assert len(numbers) > 10
    for name, path in on_the_disk(printed).items():
        text = path.read_bytes().decode("latin-1")
        assert [number for number in numbers if number in text] == [], name


def test_the_log_tells_of_the_session_and_of_nobody(printed):
    """Field by field: no line holds more than a sentence, and none a number with six figures beside its time."""
    lines = [json.loads(line) for line in (printed.folder / "log" / "holdstill.jsonl").read_text().splitlines()]
    assert any("align -> shooting" in str(line.values()) for line in lines)
    for line in lines:
        assert all(len(str(value)) < 300 for value in line.values()), line
