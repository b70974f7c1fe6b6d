"""The skin that spectacles are compared with: they hide the eyes by glare on a lens, a tint, a broad frame.

What is seen through the lens, just under the eye, is held against the skin of the cheek of the same side. A face
without spectacles gives what perfectly clear ones would.
"""

from __future__ import annotations

import numpy as np

from kiosk.vision.face_model import Array, Shape
from kiosk.vision.pictures import Rgb, lab
from kiosk.vision.upright import CHEEK, LEFT_CHEEK, RIGHT_CHEEK, around, upright_part

STEP = 0.01
"""Distance of the samples, face units."""


def cheeks(rgb: Rgb, shape: Shape) -> list[Array]:
    """Return the median colours of the right and the left cheek, (3,) L*a*b* each."""
    places = shape.to_upright(shape.landmarks_px[[RIGHT_CHEEK, LEFT_CHEEK], :2])
    zones = [lab(upright_part(rgb, shape, around(place, *(CHEEK,) * 4), STEP)) for place in places]
    return [np.asarray(np.median(zone.reshape(-1, 3), axis=0), float) for zone in zones]
