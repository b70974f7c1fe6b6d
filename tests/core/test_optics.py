"""Against figures computed by hand from the pinhole's similar triangles and the thin-lens equation 1/f = 1/d + 1/b."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kiosk.core.optics import Sensor, Setup, focal_length_mm, perspective_magnification, shadow_drop_mm

APS_C = Sensor(height_mm=22.3, width_mm=14.9, height_px=6000, width_px=4000)


@pytest.mark.parametrize(
    ("distance_mm", "magnification"),
    [(500, 1 / 9), (700, 1 / 13), (1000, 1 / 19), (1200, 1 / 23), (1500, 1 / 29), (2000, 1 / 39)],
)
def test_a_nose_50_mm_nearer_is_drawn_larger(distance_mm, magnification):
    """By similar triangles 50 / (d - 50): 0.1111, 0.0769, 0.0526, 0.0435, 0.0345, 0.0256."""
    assert perspective_magnification(distance_mm, 50) == pytest.approx(magnification)


def test_a_feature_behind_the_camera_is_refused():
    with pytest.raises(ValueError, match="before a camera"):
        perspective_magnification(500, 500)


@given(st.floats(600, 4000), st.floats(20, 200))
def test_the_picture_obeys_the_thin_lens_equation(distance_mm, focal_mm):
    setup = Setup(APS_C, distance_mm, focal_mm)
    image_mm = 1 / (1 / focal_mm - 1 / distance_mm)
    assert setup.view_height_mm == pytest.approx(APS_C.height_mm * distance_mm / image_mm)
    assert focal_length_mm(APS_C.height_mm, distance_mm, setup.view_height_mm) == pytest.approx(focal_mm)


def test_the_working_of_the_setup_page():
    """APS-C upright at 1.5 m with 50 mm: m = 50 / 1450, 6000 px / 22.3 mm, so 9.278 px for each millimetre."""
    setup = Setup(APS_C, 1500, 50)
    assert setup.px_per_mm == pytest.approx(50 / 1450 * 6000 / 22.3)
    assert setup.px_per_mm == pytest.approx(9.278, abs=0.001)
    assert setup.view_height_mm == pytest.approx(646.7, abs=0.1)
    assert setup.inter_eye_px == pytest.approx(584.5, abs=0.1)
    assert setup.head_share() == pytest.approx(0.359, abs=0.001)
    assert setup.print_dpi(head_mm=32) == pytest.approx(1708.5, abs=0.5)


def test_a_shadow_from_45_degrees_falls_as_far_as_the_backdrop_is_away():
    assert shadow_drop_mm(1000, 45) == pytest.approx(1000)
    assert shadow_drop_mm(1200, math.degrees(math.atan(0.5))) == pytest.approx(600)
