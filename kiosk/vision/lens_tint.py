"""Whether the lenses of spectacles are tinted."""

from __future__ import annotations

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Array, Shape
from kiosk.vision.pictures import Rgb, lab, luminance
from kiosk.vision.spectacles import STEP, cheeks
from kiosk.vision.upright import around, eye_centres, upright_part

TINT_SD = 0.12
"""Spread over the compliant rendered sitters of the tuning half: eye sockets are shaded."""

UNDER_EYE = (0.12, 0.12, 0.20, -0.09)
"""Reach to the left, right, downwards and upwards of the skin under the eye about its middle, face units."""


def measure_lens_tint(rgb: Rgb, shape: Shape) -> Measurement:
    """Return how much light the lenses let through, 1 all of it to 0: the darker eye counts.

    "Dark tinted lenses" of the published benchmark tests, for component EyesVisible of ISO/IEC 29794-5. The luminance
    (CIE Y) of the skin under the eye over that of the cheek. Light that falls from one side darkens one eye as well:
    judge it together with the illumination.
    """
    shares = [
        float(luminance(_skin(rgb, shape, centre)) / max(luminance(cheek), 1e-4))
        for centre, cheek in zip(eye_centres(shape), cheeks(rgb, shape), strict=True)
    ]
    return Measurement("lens_tint", min(1.0, *shares), "ratio", TINT_SD)


def _skin(rgb: Rgb, shape: Shape, centre: Array) -> Array:
    zone = lab(upright_part(rgb, shape, around(centre, *UNDER_EYE), STEP))
    return np.asarray(np.median(zone.reshape(-1, 3), axis=0), float)
