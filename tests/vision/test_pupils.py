"""What pupils show in closed form: a lit fundus, and how far away the camera is."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from kiosk.vision.measures import red_eye
from kiosk.vision.measures.camera_distance import measure_camera_distance
from tests.support.mean_face import FACE, eyed, plain


def test_a_lit_fundus_and_a_dark_pupil() -> None:
    picture = eyed()
    assert red_eye.measure_red_eye(picture, FACE).value == pytest.approx(0, abs=0.5)
    middle, edge = FACE.landmarks_px[[473, 474], :2]
    x, y = np.round(middle).astype(int).tolist()
    radius = red_eye.PUPIL * float(np.linalg.norm(edge - middle))
    cv2.circle(picture, (x, y), round(radius) + 1, (255, 0, 0), -1)
    assert red_eye.measure_red_eye(picture, FACE).value == pytest.approx(80.09, abs=0.2)


def test_no_pupil_is_seen_between_shut_lids() -> None:
    points = FACE.landmarks_px.copy()
    for upper, lower in zip((246, 161, 160, 159, 158, 157, 173), (7, 163, 144, 145, 153, 154, 155), strict=True):
        points[upper] = points[lower]
    for upper, lower in zip((466, 388, 387, 386, 385, 384, 398), (249, 390, 373, 374, 380, 381, 382), strict=True):
        points[upper] = points[lower]
    assert red_eye.measure_red_eye(plain(), replace(FACE, landmarks_px=points)).value is None


def test_distance_of_a_camera_of_known_focal_length() -> None:
    """A pinhole: 63 mm at 1.5 m through 2,000 px make 84 px. Without the focal length there is no answer."""
    assert measure_camera_distance(84.0, 2000.0).value == pytest.approx(1500)
    assert measure_camera_distance(84.0, None).value is None
