"""The bench on people: its counts on hand-made cases, how it reads the sets, and both its ways on real pictures."""

import importlib
import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.shipped import CATALOGUE

TESTS = Path(__file__).parent
NOBODY = TESTS / "data" / "nobody"
SITTER = TESTS.parent / "demo" / "sitter"


@pytest.fixture(scope="module")
def bench():
    """Give access to the bench's modules by their names."""
    sys.path.insert(0, str(TESTS / "bench"))
    yield importlib.import_module
    sys.path.remove(str(TESTS / "bench"))


def test_words_are_false_without_the_defect_and_caught_with_it(bench):
    words = bench("people_words")
    said = [
        ({"glare": "0"}, {"lens_glare": "fail"}),
        ({"glare": "0"}, {"lens_glare": "refer"}),
        ({"glare": "0"}, {"lens_glare": "unmeasured"}),
        ({"glare": "0"}, {}),
        ({"glare": "0"}, {"lens_glare": "pass"}),
        ({"glare": "1"}, {"lens_glare": "fail"}),
        ({"glare": "2"}, {"lens_glare": "fail"}),
        ({"glare": "2"}, {"lens_glare": "pass"}),
        ({}, {"lens_glare": "fail"}),
    ]
    false, caught = words.tallies(words.QUESTIONS[0], said)
    assert false == words.Tally(count=5, refused=1, referred=1, unlooked=2)
    assert caught == words.Tally(count=2, refused=1, referred=0, unlooked=0)
    assert (false.objected, caught.objected) == (0.4, 0.5)
    lines, numbers = words.word_lines("made", said)
    assert numbers["made.lens_glare.false_refused"] == 1
    assert numbers["made.lens_glare.caught_refused"] == 1
    assert "no case" in next(line for line in lines if line.startswith("red_eye"))
    assert "made.red_eye.false_refused" not in numbers


@pytest.mark.parametrize(
    ("requirement", "label", "value", "is_defect"),
    [
        ("frame_width", "rim", "heavy", True),
        ("frame_width", "rim", "thin", False),
        ("eyes_open", "eyes", "closed", True),
        ("eyes_open", "eyes", "narrow", None),
        ("no_head_coverings", "covering", "scarf", True),
        ("mouth_closed", "mouth", "teeth", True),
        ("mouth_closed", "mouth", "smile_closed", None),
        ("expression_neutrality", "expression", "smiling", True),
        ("noise", "grain", "none", False),
    ],
)
def test_labels_say_which_photographs_have_a_defect(bench, requirement, label, value, is_defect):
    question = next(one for one in bench("people_words").QUESTIONS if one.requirement == requirement)
    assert question.is_defect({label: value}) is is_defect


def test_narrow_eyes_are_open_and_counted_apart(bench):
    words = bench("people_words")
    numbers = words.word_lines("made", [({"eyes": "narrow"}, {"eyes_open": "fail"})])[1]
    assert numbers["made.eyes_open.narrow_eyes.false_refused"] == 1
    assert numbers["made.eyes_open.free"] == 0


def looked(bench, words, person="a", origin="white", demands=None):
    looks = bench("people_looks")
    measurement = bench("kiosk.core.base.measurement")
    photograph = bench("people_sets").Photograph("made", Path(f"{person}.jpg"), person, {}, origin, is_compliant=True)
    return looks.Look(photograph, measurement.Observation(10, 10, 1), words, {}, demands or {})


def test_verdicts_leave_sizes_and_the_backdrop_aside_and_tell_pose_apart(bench):
    people = [
        looked(bench, {"yaw": "pass", "background_uniformity": "fail", "noise": "pass"}, "a"),
        looked(bench, {"yaw": "fail", "frame_room": "fail"}, "b"),
        looked(bench, {"yaw": "refer", "noise": "unmeasured"}, "c", "black"),
        looked(bench, {"yaw": "fail", "noise": "fail"}, "d", "black"),
    ]
    numbers = bench("people_verdicts").verdict_lines(people)[1]
    told = {word: numbers[f"compliant.all.sizes_aside.{word}"] for word in ("pass", "refer", "fail", "pose")}
    assert told == {"pass": 0, "refer": 1, "fail": 3, "pose": 1}
    assert numbers["compliant.all.and_the_backdrop_aside.pass"] == 1
    assert numbers["compliant.origin.black.sizes_aside.fail"] == 1
    reasons = bench("people_verdicts").reason_lines(people)[1]
    assert (reasons["why.yaw.refused"], reasons["why.yaw.referred"]) == (2, 1)
    assert reasons["compliant.own_pose_outside"] == 3


def test_a_demand_counts_as_met_unless_the_still_finds_the_pose_outside_too(bench):
    people = [
        looked(bench, {"pitch": "pass"}, "a", demands={"pitch": "chin_down"}),
        looked(bench, {"pitch": "fail"}, "b", demands={"pitch": "chin_down"}),
        looked(bench, {"pitch": "pass"}, "c"),
    ]
    numbers = bench("people_verdicts").demand_lines(people)[1]
    assert numbers["live.nothing_demanded"] == 2
    assert numbers["live.demanded.chin_down"] == 1


def test_points_are_compared_in_per_cent_of_the_head_and_below_is_positive(bench):
    geometry, measurement = bench("kiosk.core.base.geometry"), bench("kiosk.core.base.measurement")
    crown, chin, right, left = (geometry.Point(x, y) for x, y in ((50, 0), (50, 200), (30, 100), (70, 100)))
    points = measurement.HeadPoints(crown, crown, chin, right, left)
    marks = {"right_eye_outer": (20, 98), "right_eye_inner": (40, 98), "chin": (50, 204), "head_top": (50, 0)}
    off = bench("people_points").offsets(points, marks)
    assert off["right eye from corners"] == (0, 1)
    assert off["chin"] == (0, -2)
    assert off["crown, flat hair"] == (0, 0)
    assert "left eye from corners" not in off


def test_a_studio_says_what_nobody_labelled(bench, tmp_path):
    common = {"person": "7", "age": 25, "sex": "female", "origin": "black", "spectacles": False, "covering": False}
    entries = [
        {**common, "photo": "n.jpg", "expression": "neutral", "teeth_visible": False, "named_px": {"chin": [1, 2]}},
        {**common, "photo": "s.jpg", "expression": "smiling", "teeth_visible": None, "named_px": None},
        {**common, "photo": "gone.jpg", "expression": "smiling", "teeth_visible": True, "named_px": None},
    ]
    (tmp_path / "marks.json").write_text(json.dumps(entries))
    for name in ("n.jpg", "s.jpg"):
        (tmp_path / name).touch()
    neutral, smiling = bench("people_sets").photographs(tmp_path)
    assert neutral.is_compliant
    assert not smiling.is_compliant
    assert neutral.band == "25 to 34"
    assert neutral.labels["mouth"] == "closed"
    assert neutral.labels["rim"] == "none"
    assert "mouth" not in smiling.labels
    assert "eyes" not in smiling.labels
    (person,) = bench("people_booth").people_of([neutral, smiling])
    assert person.smiling is smiling


def test_the_bench_reads_people_who_do_not_exist():
    command = [sys.executable, TESTS / "bench" / "people", NOBODY, "--every", "6", "--processes", "1", "--json"]
    told = subprocess.run(command, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    numbers = json.loads(told.stdout)
    assert numbers["nobody.single_face_present.free"] == 3
    assert numbers["nobody.live.single_face_present.free"] >= 1


def test_a_page_with_people_is_not_written_into_the_repository():
    page = TESTS / "out" / "worst.html"
    command = [sys.executable, TESTS / "bench" / "people", NOBODY, "--page", page]
    told = subprocess.run(command, capture_output=True, text=True, check=False)
    assert told.returncode == 2
    assert "lies in the repository" in told.stderr
    assert not page.exists()


def test_who_sits_well_leaves_with_a_sheet_and_whose_eyes_are_shut_is_told_so(bench):
    booth, document = bench("people_booth"), CATALOGUE.get("icao-generic")
    kind = bench("people_sets").Photograph
    frontal, smile, shut = (
        kind("sitter", SITTER / f"yaw+00_pitch+00{name}.jpg", "x", {}) for name in ("", "_smile_teeth", "_eyes_closed")
    )
    with bench("kiosk.vision.still").StillVision() as vision:
        served = booth.visit(booth.Person(frontal, smile), document, vision, 12.0)
        turned_away = booth.visit(booth.Person(shut), document, vision, 12.0)
    assert (served.outcome, served.was_dim, served.smiled) == (booth.SHEET, False, False)
    assert served.shots == 1
    assert (turned_away.outcome, turned_away.stood) == (booth.NO_SHOT, "open_eyes")
    numbers = bench("people_visits").visit_lines([served, turned_away])[1]
    assert (numbers["booth.all.sheet"], numbers["booth.all.no_shot"]) == (1, 1)
    assert numbers["booth.failed_photos_taken_home"] == 0
