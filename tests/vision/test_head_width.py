"""The width of the head in closed form; against hand-marked ears it was measured once, see the measure's note."""

import numpy as np
import pytest

from kiosk.vision.face.face_model import face_model, shape_of
from kiosk.vision.measures.head_width import HEAD_WIDTH_SD, LEFT_EDGE, RIGHT_EDGE, measure_head_width

MEAN = face_model().mean_shape * (1.0, -1.0, -1.0)
"""The mean shape as landmarks of a picture: y down, z away from the camera."""


def turned(roll_deg):
    """Return the mean face, 200 px between the outer corners of the eyes, leant in the picture."""
    angle = np.radians(roll_deg)
    lean = np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
    return shape_of(200 * MEAN @ lean.T + (500, 400, 0))


@pytest.mark.parametrize("roll_deg", [0, 12, -25])
def test_it_is_measured_along_the_eye_line(roll_deg):
    truth = 200 * (MEAN[LEFT_EDGE, 0] - MEAN[RIGHT_EDGE, 0])
    found = measure_head_width(turned(roll_deg), 0.0)
    assert found.value == pytest.approx(truth, rel=1e-3)
    assert (found.unit, found.uncertainty) == ("px", HEAD_WIDTH_SD * found.value)


def test_it_is_as_it_would_be_without_yaw():
    straight = measure_head_width(turned(0), 0.0).value
    assert measure_head_width(turned(0), 10.0).value == pytest.approx(straight / np.cos(np.radians(10)))


def test_it_grows_with_the_picture():
    shape = turned(0)
    assert measure_head_width(shape.scaled(3.0), 0.0).value == pytest.approx(3 * measure_head_width(shape, 0.0).value)
