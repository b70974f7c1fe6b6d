"""A booth's optics against published examples, and against rays that are traced here by another formula."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kiosk.core.base.geometry import Range, Size
from kiosk.core.camera_setup.optics import (
    Lens,
    distance_mm,
    field_mm,
    focal_length_mm,
    hyperfocal_mm,
    largest_blur_mm,
    nose_growth,
    sharp_mm,
    upright_camera,
)
from kiosk.core.camera_setup.optics_plan import HEAD_MM, BoothPlan, Portrait, TooSmall
from kiosk.core.camera_setup.optics_room import (
    BEHIND_LENS_MM,
    DISTANCES,
    FOCAL_LENGTHS,
    least_backdrop_mm,
    plan_booth,
    portrait_of,
)
from kiosk.core.camera_setup.optics_values import values_of
from tests.support.shipped import CATALOGUE

APS, FULL, SMALL, WEBCAM = Size(22.3, 14.9), Size(36.0, 24.0), Size(13.2, 8.8), Size(3.2, 5.6)
UPRIGHT = Size(4000.0, 6000.0)
PASSPORT = portrait_of(CATALOGUE.get("gb-passport-print"), UPRIGHT)


def test_a_hyperfocal_distance_that_is_published():
    """50 mm at f/8 with a circle of confusion of 0.03 mm: 10,467 mm (Wikipedia, "Hyperfocal distance", from memory)."""
    assert hyperfocal_mm(Lens(50.0, 8.0), 0.03) == pytest.approx(10_467, abs=0.5)


def test_angles_of_view_that_are_published():
    """50 mm on 36 x 24 mm: 39.6 and 27.0 degrees, focused far away (Kingslake; tables of lens makers; from memory)."""
    far = 1e9
    for side, angle in ((36.0, 39.6), (24.0, 27.0)):
        seen = 2 * math.degrees(math.atan(field_mm(side, 50.0, far) / 2 / far))
        assert seen == pytest.approx(angle, abs=0.05)


def test_the_state_departments_lens_fills_its_frame_with_a_head():
    """4 feet and about 105 mm on 35 mm film (its guide for photographers): a head of 1 to 1 3/8 of 2 inches."""
    head = HEAD_MM / field_mm(36.0, 105.0, 4 * 304.8)
    assert 1 / 2 <= head <= 1.375 / 2


def test_a_nose_as_the_guide_has_it():
    assert nose_growth(1500.0) == pytest.approx(0.0345, abs=1e-4)


def blur_mm(lens: Lens, focused_mm: float, subject_mm: float) -> float:
    """Return the circle of a point on the sensor, from Gauss's equation and the similar triangles behind the lens."""
    sensor = 1 / (1 / lens.focal_mm - 1 / focused_mm)
    image = 1 / (1 / lens.focal_mm - 1 / subject_mm)
    return lens.focal_mm / lens.f_number * abs(image - sensor) / image


@given(st.floats(20, 135), st.sampled_from([4.0, 5.6, 8.0, 11.0]), st.floats(700, 3000), st.floats(0.005, 0.05))
def test_at_both_ends_of_the_depth_of_field_a_point_is_as_large_as_it_may_be(focal, number, distance, blur):
    lens = Lens(focal, number)
    sharp = sharp_mm(lens, distance, blur)
    assert blur_mm(lens, distance, sharp.low) == pytest.approx(blur, rel=1e-6)
    if sharp.high is not None:
        assert blur_mm(lens, distance, sharp.high) == pytest.approx(blur, rel=1e-6)
        assert blur_mm(lens, distance, (sharp.low + distance) / 2) < blur
    else:
        assert blur_mm(lens, distance, 1e9) <= blur * (1 + 1e-4)


@given(st.floats(5, 40), st.floats(10, 200), st.floats(300, 5000))
def test_field_distance_and_focal_length_undo_each_other(sensor, focal, distance):
    field = field_mm(sensor, focal, distance)
    assert distance_mm(sensor, focal, field) == pytest.approx(distance)
    assert focal_length_mm(sensor, field, distance) == pytest.approx(focal)


def test_a_dot_of_the_print_is_as_large_on_the_sensor_as_the_enlargement_makes_it():
    assert largest_blur_mm(22.5, 45.0) == pytest.approx(25.4 / 300 / 2)


@pytest.mark.parametrize(
    ("sensor", "still", "used"),
    [
        (APS, UPRIGHT, Size(14.866667, 22.3)),
        (Size(14.9, 22.3), Size(6000.0, 4000.0), Size(22.3, 14.866667)),
        (Size(17.3, 13.0), Size(3000.0, 3000.0), Size(13.0, 13.0)),
        (Size(17.3, 13.0), UPRIGHT, Size(11.533333, 17.3)),
    ],
)
def test_a_body_is_turned_as_its_still_and_cropped_to_its_aspect(sensor, still, used):
    camera = upright_camera(sensor, still)
    assert camera.sensor_mm.width == pytest.approx(used.width)
    assert camera.sensor_mm.height == pytest.approx(used.height)


ROOMS = st.builds(Size, st.floats(1500, 6000), st.floats(1200, 4000))


@given(ROOMS, st.sampled_from([APS, FULL, SMALL]), st.sampled_from(["gb-passport-print", "us-passport-print"]))
def test_a_plan_keeps_to_the_room_the_document_and_the_distances(room, sensor, name):
    portrait = portrait_of(CATALOGUE.get(name), UPRIGHT)
    plan = plan_booth(room, upright_camera(sensor, UPRIGHT), portrait)
    if isinstance(plan, TooSmall):
        assert plan.depth_mm > room.width or plan.width_mm > room.height
        return
    assert DISTANCES.contains(plan.to_eyes_mm)
    assert portrait.heads.low - 1e-9 <= plan.head_share <= portrait.heads.high + 1e-9
    assert plan.to_backdrop_mm + plan.to_eyes_mm + BEHIND_LENS_MM <= room.width + 1e-6
    assert plan.lamp_aside_mm + 300 * math.cos(math.radians(45)) < room.height / 2
    assert plan.to_backdrop_mm >= least_backdrop_mm(plan.at_eyes.width, plan.to_eyes_mm) - 1e-6
    assert plan.lean_stops < 1 / 3


@given(ROOMS, st.sampled_from([APS, FULL, SMALL, WEBCAM]))
def test_what_a_room_lacks_is_enough(room, sensor):
    camera = upright_camera(sensor, UPRIGHT)
    plan = plan_booth(room, camera, PASSPORT)
    if isinstance(plan, TooSmall) and not plan.others_mm:
        larger = Size(max(room.width, plan.depth_mm + 1), max(room.height, plan.width_mm + 1))
        assert isinstance(plan_booth(larger, camera, PASSPORT, (plan.focal_mm,)), BoothPlan)


def test_the_shadow_of_the_head_just_clears_the_picture_at_the_least_distance():
    """Two similar triangles: the lens sees `half` of the backdrop, and the shadow's edge is half a head nearer."""
    at_eyes, to_eyes = 346.0, 1455.0
    least = least_backdrop_mm(at_eyes, to_eyes)
    half = at_eyes / 2 * (to_eyes + least) / to_eyes
    assert least * math.tan(math.radians(45)) - 151.0 / 2 == pytest.approx(half)


def test_a_lens_that_does_not_do_is_answered_with_those_that_would():
    camera = upright_camera(FULL, UPRIGHT)
    refused = plan_booth(Size(2600.0, 2000.0), camera, PASSPORT, (35.0,))
    assert isinstance(refused, TooSmall)
    assert set(refused.others_mm) == {
        focal
        for focal in FOCAL_LENGTHS
        if isinstance(plan_booth(Size(2600.0, 2000.0), camera, PASSPORT, (focal,)), BoothPlan)
    }
    assert 85.0 in refused.others_mm


def test_a_sensor_too_small_for_every_usual_lens_is_answered_with_the_one_that_it_needs():
    camera = upright_camera(Size(2.4, 1.8), UPRIGHT)
    refused = plan_booth(Size(3000.0, 2400.0), camera, PASSPORT)
    assert isinstance(refused, TooSmall)
    (focal,) = refused.others_mm
    plan = plan_booth(Size(3000.0, 2400.0), camera, PASSPORT, refused.others_mm)
    assert isinstance(plan, BoothPlan)
    assert focal == pytest.approx(focal_length_mm(2.4, HEAD_MM / PASSPORT.heads.middle, 1500.0), abs=0.05)


def test_the_aperture_is_the_widest_that_is_sharp_from_nose_to_ears():
    plan = plan_booth(Size(3000.0, 2400.0), upright_camera(APS, UPRIGHT), PASSPORT)
    assert plan.lens == Lens(60.0, 7.1)
    assert plan.sharp.low <= plan.to_eyes_mm - 50
    assert plan.sharp.high >= plan.to_eyes_mm + 110
    blur = largest_blur_mm(PASSPORT.frame * plan.camera.sensor_mm.height, PASSPORT.frame_mm)
    assert sharp_mm(Lens(60.0, 6.3), plan.to_eyes_mm, blur).high < plan.to_eyes_mm + 110


def test_a_print_has_the_pixels_that_its_frame_cuts_out_of_the_still():
    """Half of 6000 px on a frame of 25.4 mm: 3000 px per inch, where the head has its middle size."""
    portrait = Portrait("x", Range(0.4, 0.4), 0.5, 25.4, 300.0)
    plan = plan_booth(Size(5000.0, 3000.0), upright_camera(APS, UPRIGHT), portrait)
    assert plan.print_dpi == pytest.approx(3000.0)


def test_every_value_has_a_source():
    for sensor in (APS, FULL, SMALL):
        plan = plan_booth(Size(3000.0, 2400.0), upright_camera(sensor, UPRIGHT), PASSPORT)
        rows = list(values_of(plan))
        assert len(rows) == len({row.name for row in rows})
        assert all(row.source and row.value for row in rows)
