"""Whether the lenses of spectacles shine."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Shape
from kiosk.vision.pictures import Lab, Rgb, lab
from kiosk.vision.spectacles import STEP, cheeks
from kiosk.vision.upright import around, eye_centres, upright_part

GLARE_SD = 0.02
"""Spread over the compliant rendered sitters of the tuning half."""

LENS = (0.20, 0.20, 0.25, 0.08)
"""Reach to the left, right, downwards and upwards of the lens about the middle of the eye, face units."""

EYE_HALF = (0.17, 0.08)
"""Half axes of the ellipse that holds the opened eye: its white is no glare."""

GLARE_DE, GLARE_DL = 15.0, 5.0
"""How much the glare differs from the cheek, and how much lighter it is."""


def measure_lens_glare(rgb: Rgb, shape: Shape) -> Measurement:
    """Return the share of the place of a lens that shines, 0 to 1: the worse eye counts.

    "Flash reflection on lenses" of the published benchmark tests, for component EyesVisible of ISO/IEC 29794-5. A place
    shines where it is lighter than the cheek and of another colour (CIE 1976 colour difference); the eye is left out.
    """
    shares = []
    for centre, cheek in zip(eye_centres(shape), cheeks(rgb, shape), strict=True):
        zone = lab(upright_part(rgb, shape, around(centre, *LENS), STEP))
        away = zone - cheek
        shines = (away[..., 0] > GLARE_DL) & (np.linalg.norm(away, axis=-1) > GLARE_DE)
        shares.append(float(shines[_beside_the_eye(zone)].mean()))
    return Measurement("lens_glare", max(shares), "fraction", GLARE_SD)


def _beside_the_eye(zone: Lab) -> NDArray[np.bool_]:
    """Return which places of the lens's zone lie outside the ellipse of the opened eye."""
    rows, columns = zone.shape[:2]
    left, _, _, above = LENS
    x = (np.arange(columns) + 0.5) * STEP - left
    y = above - (np.arange(rows) + 0.5) * STEP
    inside: NDArray[np.bool_] = (x[None, :] / EYE_HALF[0]) ** 2 + (y[:, None] / EYE_HALF[1]) ** 2 >= 1
    return inside
