"""The crop planner against an independent solver, and against the published worked figures of the documents."""

import pytest
from scipy.optimize import linprog

from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import HeadPoints
from kiosk.core.judging.crop import plan_crop
from tests.support.shipped import CATALOGUE

WIDTH_PX, HEIGHT_PX = 1600, 2000


def head(height_px=840.0, eye_share=0.49, top_px=500.0, hair_px=30.0, x_px=800.0) -> HeadPoints:
    """Return a head with its eyes at a share of its height below the crown."""
    eye_y = top_px + eye_share * height_px
    return HeadPoints(
        crown=Point(x_px, top_px),
        hair_top=Point(x_px, top_px - hair_px),
        chin=Point(x_px, top_px + height_px),
        right_eye=Point(x_px - 110, eye_y),
        left_eye=Point(x_px + 110, eye_y),
        crown_sd_px=20.0,
        chin_sd_px=8.0,
        eye_sd_px=3.0,
    )


def _share_by_linear_programme(points: HeadPoints, document) -> float:
    """Return by how much all bands can shrink towards their middles, from SciPy's HiGHS solver.

    Unknowns: millimetres per pixel, offset, share. The frame must also keep crown, hair and chin, and lie inside.
    """
    photo = document.frame_mm
    top = points.top(document.head_top.value)
    bands = [(points.chin.y - top.y, 0.0, 0.0, document.head_height_mm)]
    if document.eye_line_mm:
        bands.append((-points.eye_centre.y, -1.0, photo.height, document.eye_line_mm))
    if document.margin_above_mm:
        bands.append((top.y, 1.0, 0.0, document.margin_above_mm))
    rows, ends = [], []
    for scale, offset, constant, band in bands:
        half = (band.high - band.low) / 2
        rows += [[-scale, -offset, half], [scale, offset, half]]
        ends += [constant - band.low, band.high - constant]
    for scale, offset, end in (
        (-points.hair_top.y, -1.0, 0.0),
        (points.chin.y, 1.0, photo.height),
        (0.0, 1.0, 0.0),
        (-HEIGHT_PX, -1.0, -photo.height),
    ):
        rows.append([scale, offset, 0.0])
        ends.append(end)
    answer = linprog([0, 0, -1], A_ub=rows, b_ub=ends, bounds=[(0, None), (None, None), (0, 1)])
    return answer.x[2] if answer.success else -1.0


def _share_reached(plan, document) -> float:
    shares = []
    for name in ("head_height", "eye_line", "margin_above"):
        band = getattr(document, f"{name}_mm")
        if band is not None:
            value = plan.measurements["head_size" if name == "head_height" else name].value
            shares.append(1 - abs(value - band.middle) / (band.width / 2))
    return min(shares)


@pytest.mark.parametrize("document_id", ["us-passport-print", "jp-passport-print", "cn-visa-print"])
@pytest.mark.parametrize("eye_share", [0.43, 0.49, 0.55])
@pytest.mark.parametrize("hair_px", [0.0, 40.0, 90.0])
def test_the_plan_is_as_good_as_a_linear_programme(document_id, eye_share, hair_px):
    document = CATALOGUE.get(document_id)
    points = head(eye_share=eye_share, hair_px=hair_px)
    plan = plan_crop(points, document, WIDTH_PX, HEIGHT_PX)
    best = _share_by_linear_programme(points, document)
    if best >= 0:
        assert _share_reached(plan, document) == pytest.approx(best, abs=1e-4)


def test_a_head_alone_comes_out_in_the_middle_of_its_range():
    plan = plan_crop(head(), CATALOGUE.get("gb-passport-print"), WIDTH_PX, HEIGHT_PX)
    # Chin to crown 29 to 34 mm, as quoted from the United Kingdom's rule.
    assert plan.measurements["head_size"].value == pytest.approx(31.5)
    assert plan.rect_px.width / plan.rect_px.height == pytest.approx(35 / 45)


def test_japan_measures_to_the_hair_and_the_united_kingdom_to_the_crown():
    points = head(hair_px=90.0)
    japan = plan_crop(points, CATALOGUE.get("jp-passport-print"), WIDTH_PX, HEIGHT_PX)
    kingdom = plan_crop(points, CATALOGUE.get("gb-passport-print"), WIDTH_PX, HEIGHT_PX)
    assert japan.measurements["head_size"].value == pytest.approx(930 * japan.mm_per_px)
    assert kingdom.measurements["head_size"].value == pytest.approx(840 * kingdom.mm_per_px)


def test_the_united_states_extremes_cannot_meet():
    """Head 1 3/8 in with the eyes 1 3/8 in up would put the crown at 51.86 mm on a 50.8 mm photo (computed)."""
    plan = plan_crop(head(eye_share=0.485), CATALOGUE.get("us-passport-print"), WIDTH_PX, HEIGHT_PX)
    assert plan.points_mm.crown.y > 0.0
    crown_mm = 34.925 + 0.485 * 34.925
    assert crown_mm == pytest.approx(51.86, abs=0.01)


def test_points_on_the_print_agree_with_the_frame():
    document = CATALOGUE.get("us-passport-print")
    plan = plan_crop(head(), document, WIDTH_PX, HEIGHT_PX)
    eyes_from_bottom = 50.8 - plan.points_mm.eye_centre.y
    assert eyes_from_bottom == pytest.approx(plan.measurements["eye_line"].value)
    assert plan.points_mm.head_height_px(document.head_top.value) == pytest.approx(plan.measurements["head_size"].value)
    assert plan.points_mm.crown_sd_px == pytest.approx(20.0 * plan.mm_per_px)


def test_a_face_near_the_side_moves_the_frame_within_what_is_allowed():
    document = CATALOGUE.get("gb-passport-print")
    near = plan_crop(head(x_px=440.0), document, WIDTH_PX, HEIGHT_PX)
    assert near.is_inside
    assert near.measurements["face_centre"].value == pytest.approx(440.0 / near.rect_px.width)
    cut = plan_crop(head(x_px=250.0), document, WIDTH_PX, HEIGHT_PX)
    assert not cut.is_inside
    assert 0.45 <= cut.measurements["face_centre"].value <= 0.55
    assert cut.room_mm == pytest.approx(cut.rect_px.x * cut.mm_per_px, abs=1e-6)


def test_the_frame_is_never_wider_than_a_big_head_allows():
    plan = plan_crop(head(height_px=1700, top_px=200), CATALOGUE.get("icao-generic"), WIDTH_PX, HEIGHT_PX)
    assert not plan.is_inside
    assert plan.room_mm < 0
