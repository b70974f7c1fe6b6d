"""Five authorities' drawings, copied by hand, laid over cropped photos and over the program's own drawings.

`tests/data/drawings.json` has the lines as the authorities draw them, typed in apart from `specs`; `marks.csv` beside
the portraits of people who do not exist has what an eye sees in them. The photo is cut by the program alone.
"""

import csv
import json
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import pytest

from kiosk.core.base.geometry import Range
from kiosk.core.judging.crop import plan_crop
from kiosk.render.report.rule_drawing import FRAME_AT_MM, drawing_svg
from kiosk.vision.pictures.photo_file import decode_still
from kiosk.vision.still import StillVision
from tests.support.shipped import CATALOGUE

DATA = Path(__file__).parents[1] / "data"
DRAWINGS = json.loads((DATA / "drawings.json").read_text(encoding="utf-8"))
PORTRAITS = DATA / "nobody"
with (PORTRAITS / "marks.csv").open(encoding="utf-8") as file:
    MARKS = {row["photo"]: {key: float(row[key]) for key in list(row)[1:]} for row in csv.DictReader(file)}
SVG = "{http://www.w3.org/2000/svg}"

EYES_MM, EDGES_MM = 0.6, 1.0
"""How far a mark may lie beyond a line: a pupil is marked within 3 px and may lie that far from the middle of the lid's
corners; a chin under a beard, a crown under hair and the ends of hair within 15 px. A pixel is 0.05 to 0.06 mm here."""

each_drawing = pytest.mark.parametrize("drawing", DRAWINGS, ids=lambda drawing: drawing["id"])


@cache
def points_of(photo):
    return StillVision().measure(decode_still((PORTRAITS / photo).read_bytes())).points


def band(drawing, key):
    """Return a drawn pair of lines in millimetres, open where the authority draws none."""
    low, high = (end * drawing["unit_mm"] for end in drawing[key]) if key in drawing else (None, None)
    return Range(low, high)


def lies_in(value, limit, slack):
    low = value if limit.low is None else limit.low
    high = value if limit.high is None else limit.high
    return low - slack <= value <= high + slack


@each_drawing
@pytest.mark.parametrize("photo", MARKS)
def test_what_an_eye_sees_in_the_cut_photo_lies_between_the_lines(drawing, photo):
    marks, document = MARKS[photo], CATALOGUE.get(drawing["id"])
    plan = plan_crop(points_of(photo), document, 1024, 1024)
    width_mm, height_mm = (side * drawing["unit_mm"] for side in drawing["frame"])
    scale = height_mm / plan.rect_px.height
    assert plan.rect_px.width * scale == pytest.approx(width_mm, abs=0.1)

    top, chin = marks["crown_y" if drawing["top"] == "crown" else "hair_top_y"], marks["chin_y"]
    eye_y = (marks["right_eye_y"] + marks["left_eye_y"]) / 2
    middle_x = (marks["right_eye_x"] + marks["left_eye_x"]) / 2
    lower = plan.rect_px.y + plan.rect_px.height
    assert lies_in((chin - top) * scale, band(drawing, "head"), EDGES_MM)
    assert lies_in((lower - eye_y) * scale, band(drawing, "eyes_above_lower_edge"), EYES_MM)
    assert lies_in((top - plan.rect_px.y) * scale, band(drawing, "above_head"), EDGES_MM)
    assert lies_in((lower - chin) * scale, band(drawing, "below_chin"), EDGES_MM)
    middle_mm = (middle_x - plan.rect_px.x) * scale
    assert lies_in(middle_mm, band(drawing, "middle_from_left"), EYES_MM)
    assert 0.45 * width_mm <= middle_mm <= 0.55 * width_mm


@each_drawing
def test_the_program_draws_the_same_lines(drawing):
    svg = ET.fromstring(drawing_svg(CATALOGUE.get(drawing["id"])))
    width_mm, height_mm = (side * drawing["unit_mm"] for side in drawing["frame"])
    lines = [[float(line.get(key)) for key in ("x1", "y1", "x2", "y2")] for line in svg.iter(f"{SVG}line")]
    level = [(x1, x2, y1 - FRAME_AT_MM.y) for x1, y1, x2, y2 in lines if y1 == y2]
    framed = {round(y, 3) for x1, x2, y in level if min(x1, x2) == FRAME_AT_MM.x and abs(x2 - x1) == width_mm}
    across = {y for y in framed if y <= height_mm}
    expected = {0.0, height_mm}
    for key, from_top in (("eyes_above_lower_edge", False), ("above_head", True), ("below_chin", False)):
        ends = band(drawing, key)
        expected |= {end if from_top else height_mm - end for end in (ends.low, ends.high) if end is not None}
    assert sorted(across) == pytest.approx(sorted(round(y, 3) for y in expected), abs=2e-3)
    gauge = sorted(y for x1, x2, y in level if abs(abs(x2 - x1) - 16.0) < 1e-6)
    head = band(drawing, "head")
    assert [gauge[-1] - y for y in gauge[:2]] == pytest.approx([head.high, head.low], abs=2e-3)
    middle = band(drawing, "middle_from_left")
    dashed = {x1 - FRAME_AT_MM.x for x1, y1, x2, y2 in lines if x1 == x2 and 0 < FRAME_AT_MM.y - y1 < 6}
    expected = {width_mm / 2} if middle.low is None else {middle.low, middle.high}
    assert {round(x, 3) for x in dashed if 0 < x < width_mm} == expected
