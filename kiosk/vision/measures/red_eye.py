"""Measure red eyes, in which a flash lights the retina."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.face_patch import FacePatch, face_patch
from kiosk.vision.measures.eye_colour import EYE_DISCS, EYES, UNIT_PX, disc
from kiosk.vision.pictures.arrays import Rgb, lab, polygon

RED_EYE_SD = 2.5
"""Standard deviation for dark pupils: 460 people in photographs, with irises of every colour and light of every
warmth."""

PUPIL, IRIS = 0.4, (0.6, 0.95)
"""Radius of the place of the pupil, and the inner and outer one of the iris that is seen about it, in radii of the
iris."""

LEAST_SEEN = 0.3
"""The fraction of the pupil's place that must lie between the lids; a line between shut lids is no pupil."""


def measure_red_eye(rgb: Rgb, shape: FaceShape) -> Measurement:
    """Return the difference in a* between the redder pupil and its iris: below 3 if dark, above 12 if lit by a flash.

    "Red eyes" of the published benchmark tests; ANSI/NIST-ITL Annex E, E.3.7 (quoted) allows none. Warm light and a
    tinted picture redden both alike. It is not measured if no pupil is visible between the lids.
    """
    patch = face_patch(rgb, shape, UNIT_PX, EYES)
    found = [] if patch is None else [red for eye in EYE_DISCS if (red := _redness(patch, *eye)) is not None]
    return Measurement("red_eye", max(found) if found else None, "a*", RED_EYE_SD)


def _redness(patch: FacePatch, lids: tuple[int, ...], middle: int, edge: int) -> float | None:
    """Return the difference of the median a* of a pupil and of the iris about it."""
    colours = lab(patch.rgb)
    pupil, within, out_to = (disc(colours, patch.landmarks_px, middle, edge, radii) for radii in (PUPIL, *IRIS))
    seen = polygon(colours.shape[:2], patch.landmarks_px[list(lids)])
    iris = out_to & ~within & seen
    if (pupil & seen).sum() < max(1.0, LEAST_SEEN * pupil.sum()) or not iris.any():
        return None
    return float(np.median(colours[pupil & seen][:, 1]) - np.median(colours[iris][:, 1]))
