"""One photograph of a real face: the public-domain portrait that scikit-image carries, for points and expression.

The places were marked by hand on the picture enlarged seven times, to about 1 px: the corners of both eyes, the lowest
point of the chin's outline, the highest hair. (0, 0) is the upper left corner of the upper left pixel.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from kiosk.core.base.measurement import Observation
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision

RIGHT_EYE = np.mean([(192.9, 100.7), (212.4, 102.9)], axis=0)
LEFT_EYE = np.mean([(236.7, 105.0), (258.9, 103.3)], axis=0)
CHIN_Y, HAIR_TOP_Y = 178.3, 15.8
HEAD_PX = 155.0
"""From the chin to about the crown, to turn pixels into shares."""

MARKED_TO_PX = 1.0


@pytest.fixture(scope="module")
def seen(still: StillVision) -> Observation:
    spec = importlib.util.find_spec("skimage")
    assert spec is not None
    assert spec.origin is not None
    portrait = Path(spec.origin).parent / "data" / "astronaut.png"
    return still.measure(read_photo(portrait).rgb)


def test_eye_centres(seen: Observation) -> None:
    assert seen.points is not None
    for measured, marked in ((seen.points.right_eye, RIGHT_EYE), (seen.points.left_eye, LEFT_EYE)):
        off_px = np.hypot(measured.x - marked[0], measured.y - marked[1])
        assert off_px < 0.007 * HEAD_PX + MARKED_TO_PX


def test_chin_within_its_stated_uncertainty(seen: Observation) -> None:
    """A laugh above a dark collar: 4 % of the head height too low, which the stated standard deviation covers."""
    assert seen.points is not None
    assert abs(seen.points.chin.y - CHIN_Y) < 2 * seen.points.chin_sd_px + MARKED_TO_PX


def test_hair_top(seen: Observation) -> None:
    assert seen.points is not None
    assert abs(seen.points.hair_top.y - HAIR_TOP_Y) < 0.01 * HEAD_PX + MARKED_TO_PX
    assert seen.points.crown.y > seen.points.hair_top.y


def test_a_laugh_is_seen_and_the_rest_is_plain(seen: Observation) -> None:
    values = {name: measured.value for name, measured in seen.measurements.items()}
    assert values["expression_neutrality"] < 0.3
    assert values["mouth_closed"] > 0.03
    assert values["eyes_open"] > 0.5
    assert abs(values["yaw"]) < 5
    assert values["single_face_present"] == 1
    assert values["no_head_coverings"] > 0.8
    assert values["lens_tint"] > 0.8
