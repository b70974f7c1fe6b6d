"""Whether the frame of spectacles is heavy."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Shape
from kiosk.vision.pictures import Rgb, lab
from kiosk.vision.upright import around, eye_centres, upright_part

FRAME_SD = 0.015
"""Spread over the compliant rendered sitters of the tuning half: lids and lashes cast shades of their own."""

FRAME_STEP = 0.004
"""Distance of the samples, face units."""

RIM_STRIP = (0.06, 0.06, 0.50, -0.08)
"""Reach to the left, right, downwards and upwards of the strip in which the lower rim runs about the middle of the eye,
face units."""

RIM_SHARE = 0.75
"""Part of the strip's median lightness below which a place is rim."""


def measure_frame_width(rgb: Rgb, shape: Shape) -> Measurement:
    """Return the breadth of the lower rim of the spectacles over the distance between the eyes, 0 without one.

    "Frames too heavy" of the published benchmark tests. Columns through the lens are searched for the longest dark run;
    the median over the columns of an eye counts, and the broader of the two eyes. Deep shade under the eyes counts as
    a thin rim.
    """
    right, left = eye_centres(shape)
    breadths = []
    for centre in (right, left):
        lightness = lab(upright_part(rgb, shape, around(centre, *RIM_STRIP), FRAME_STEP))[..., 0]
        dark = lightness < RIM_SHARE * np.median(lightness, axis=0)
        breadths.append(float(np.median([_longest(column) for column in dark.T])) * FRAME_STEP)
    return Measurement("frame_width", max(breadths) / float(np.linalg.norm(left - right)), "ratio", FRAME_SD)


def _longest(dark: NDArray[np.bool_]) -> int:
    """Return the length of the longest run."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], dark.astype(np.int8), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))
