"""The real models on rendered sitters with a known defect, each of which breaks the limit meant for it."""

from __future__ import annotations

import numpy as np
import pytest

from kiosk.vision.live import LiveVision
from kiosk.vision.still import StillVision
from tests.support.rendered_sitters import EMPTY, LIMITS, TRUTH, Measured, picture


@pytest.mark.parametrize(
    ("name", "requirement"),
    [
        ("def_001_expr_smile_teeth", "mouth_closed"),
        ("def_001_expr_smile_teeth", "expression_neutrality"),
        ("def_002_eyes_closed", "eyes_open"),
        ("def_004_roll", "roll"),
        ("def_006_bg_shadow", "background_uniformity"),
        ("def_007_glasses_glare", "lens_glare"),
        ("def_008_gaze", "gaze"),
        ("def_009_mouth_open", "mouth_closed"),
        ("def_010_overexposed", "over_exposure_prevention"),
        ("def_011_hat", "no_head_coverings"),
        ("def_012_fringe_over_eyes", "eyes_visible"),
        ("def_013_light_one_sided", "illumination_uniformity"),
        ("def_014_bg_pattern", "background_uniformity"),
        ("def_015_motion_blur", "sharpness"),
        ("def_017_glasses_tinted", "lens_tint"),
        ("def_019_colour_cast", "natural_colour"),
        ("def_022_defocus", "sharpness"),
        ("def_023_glasses_thick", "frame_width"),
        ("def_028_bg_gradient", "background_uniformity"),
        ("pose_002", "yaw"),
        ("pose_012", "pitch"),
    ],
)
def test_a_defect_breaks_the_limit_meant_for_it(measured: Measured, name: str, requirement: str) -> None:
    value = measured(name).measurements[requirement].value
    assert value is not None
    assert not LIMITS[requirement].range.contains(value)


def test_raised_brows_take_from_neutrality_and_the_same_face_at_rest_passes(measured: Measured) -> None:
    """At the least half of what takes it to the limit."""
    rest, raised = (
        measured(name).measurements["expression_neutrality"].value for name in ("rest_027", "def_027_brows_raised")
    )
    limit = LIMITS["expression_neutrality"].range.low
    assert rest > (1 + limit) / 2 > raised


def test_darkening_a_good_picture_breaks_the_limit_of_exposure(still: StillVision) -> None:
    """Two stops less light, by the transfer function of IEC 61966-2-1."""
    for name in ("ok_000", "ok_003"):
        code = picture(name) / 255
        linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4) / 4
        darker = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
        value = still.measure(np.round(darker * 255).astype(np.uint8)).measurements["under_exposure_prevention"].value
        assert not LIMITS["under_exposure_prevention"].range.contains(value)


def test_nobody(still: StillVision, live: LiveVision) -> None:
    for seen in (still.measure(EMPTY), live.observe(EMPTY)):
        assert (seen.faces, seen.points) == (0, None)
        assert seen.measurements["single_face_present"].value == 0


def test_two_people(still: StillVision, live: LiveVision) -> None:
    both = np.hstack((picture("ok_000"), picture("ok_003")))
    for seen in (still.measure(both), live.observe(both)):
        assert (seen.faces, seen.points) == (2, None)
        assert set(seen.measurements) == {"single_face_present"}


def test_a_second_person_half_behind_the_first(still: StillVision) -> None:
    """The left half of a second head shows beside the sitter's, at the picture's edge."""
    one, other = picture("ok_007").copy(), picture("ok_003")
    truth = TRUTH["ok_007"]["landmarks_px"]
    edge = int(truth["left_eye_outer"][0] + 90)
    middle = int(TRUTH["ok_003"]["landmarks_px"]["chin_contour"][0])
    beside = other[:, middle - 60 : middle - 60 + one.shape[1] - edge]
    one[:, edge : edge + beside.shape[1]] = beside
    assert still.measure(one).faces > 1, "two or three: it differs from one model of processor to another"


def test_heads_cut_off_anywhere_are_measured_or_refused_but_never_break(still: StillVision, live: LiveVision) -> None:
    """Sixty random cut-outs of the sitters, some lying on their side, some nearly black."""
    rng = np.random.default_rng(5)
    for name in rng.choice(list(TRUTH), 60):
        whole = picture(name)
        height, width = whole.shape[:2]
        x, y = rng.integers(0, width // 2), rng.integers(0, height // 2)
        part = whole[y : rng.integers(y + 60, height + 1), x : rng.integers(x + 60, width + 1)]
        if rng.random() < 0.3:
            part = np.rot90(part)
        if rng.random() < 0.2:
            part = (part * 0.1).astype(np.uint8)
        for seen in (still.measure(np.ascontiguousarray(part)), live.observe(np.ascontiguousarray(part))):
            numbers = [measured.value for measured in seen.measurements.values() if measured.value is not None]
            assert np.isfinite(numbers).all()
            assert (seen.points is not None) == (seen.faces == 1)
