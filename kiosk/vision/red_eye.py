"""Whether a flash lights the ground of the eyes."""

from __future__ import annotations

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.eye_colour import EYE_DISCS, EYES, UNIT_PX, disc
from kiosk.vision.face_model import Shape
from kiosk.vision.face_patch import face_patch
from kiosk.vision.pictures import Rgb, lab

RED_EYE_SD = 3.0
"""Spread over the compliant rendered sitters of the tuning half."""

PUPIL = 0.5
"""Radius of the place of the pupil, in radii of the iris."""


def measure_red_eye(rgb: Rgb, shape: Shape) -> Measurement:
    """Return the median a* of the redder pupil: about 0 where it is dark, above 40 where the flash lights its ground.

    "Red eyes" of the published benchmark tests; ANSI/NIST-ITL Annex E, E.3.7 (quoted) allows none.
    """
    patch = face_patch(rgb, shape, UNIT_PX, EYES)
    if patch is None:
        return Measurement("red_eye", None, "a*", RED_EYE_SD)
    colours = lab(patch.rgb)
    discs = [disc(colours, patch.landmarks_px, middle, edge, PUPIL) for _, middle, edge in EYE_DISCS]
    found = [float(np.median(colours[disc][:, 1])) for disc in discs if disc.any()]
    return Measurement("red_eye", max(found) if found else None, "a*", RED_EYE_SD)
