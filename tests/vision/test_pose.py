"""Angles as arithmetic: the likely pitch of a reading, known rotations, and the face's upright frame."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kiosk.vision.face.face_model import align, angles_deg, face_model
from kiosk.vision.face.likely_pitch import (
    LEVEL_SD_DEG,
    NODDING_SD_DEG,
    NODDING_SHARE,
    PITCH_READING_SD_DEG,
    likely_pitch_deg,
)
from tests.support.mean_face import mean_face


def test_small_readings_of_pitch_shrink_and_large_ones_stay() -> None:
    assert likely_pitch_deg(0.0)[0] == 0.0
    assert abs(likely_pitch_deg(3.0)[0]) < 2.0
    assert likely_pitch_deg(20.0)[0] == pytest.approx(20.0, abs=1.5)
    assert likely_pitch_deg(-9.0)[0] == -likely_pitch_deg(9.0)[0]


def test_the_likely_pitch_is_bayes_rule() -> None:
    """Against the same integral, summed over a fine grid."""
    angle = np.linspace(-90, 90, 36_001)
    prior = sum(
        share * np.exp(-0.5 * (angle / sd) ** 2) / sd
        for share, sd in ((1 - NODDING_SHARE, LEVEL_SD_DEG), (NODDING_SHARE, NODDING_SD_DEG))
    )
    for reading in (-15.0, -7.0, 0.5, 4.0, 8.0, 11.0):
        weight = prior * np.exp(-0.5 * ((reading - angle) / PITCH_READING_SD_DEG) ** 2)
        mean = (angle * weight).sum() / weight.sum()
        sd = math.sqrt(((angle - mean) ** 2 * weight).sum() / weight.sum())
        assert likely_pitch_deg(reading) == pytest.approx((mean, sd), abs=0.01)


@pytest.mark.parametrize(("yaw", "pitch", "roll"), [(0, 0, 0), (20, 0, 0), (0, 15, 0), (0, 0, -30), (12, -9, 7)])
def test_alignment_recovers_a_known_rotation(yaw: float, pitch: float, roll: float) -> None:
    """R = Ry(yaw) Rx(-pitch) Rz(-roll) in axes x right, y up, z to the camera."""
    a, b, c = np.radians((yaw, -pitch, -roll))
    about_y = np.array(((np.cos(a), 0, np.sin(a)), (0, 1, 0), (-np.sin(a), 0, np.cos(a))))
    about_x = np.array(((1, 0, 0), (0, np.cos(b), -np.sin(b)), (0, np.sin(b), np.cos(b))))
    about_z = np.array(((np.cos(c), -np.sin(c), 0), (np.sin(c), np.cos(c), 0), (0, 0, 1)))
    model = face_model()
    turned = 170.0 * model.mean_shape @ (about_y @ about_x @ about_z).T + (40.0, -20.0, 5.0)
    rotation, scale, residual = align(turned, model.mean_shape, model.rigid)
    assert angles_deg(rotation) == pytest.approx((yaw, pitch, roll), abs=1e-6)
    assert scale == pytest.approx(170.0)
    assert np.abs(residual).max() < 1e-9


def test_the_mean_face_is_symmetric_and_has_unit_width() -> None:
    mean = face_model().mean_shape
    assert np.linalg.norm(mean[33] - mean[263]) == pytest.approx(1, abs=1e-5)
    assert mean[[33, 133, 61, 234], 0] == pytest.approx(-mean[[263, 362, 291, 454], 0], abs=1e-4)
    assert (mean[[33, 133], 0] < 0).all()
    assert mean[152, 1] < mean[13, 1] < mean[1, 1] < mean[10, 1]


def test_the_upright_frame_goes_both_ways() -> None:
    shape = mean_face(roll_deg=10.0)
    places = np.array(((0.3, 1.2), (-0.5, -1.0)))
    assert shape.to_upright(shape.to_picture(places)) == pytest.approx(places)
    above = shape.to_picture(np.array((0.0, 1.0)))
    assert above[0] > 300
    assert above[1] < 400
