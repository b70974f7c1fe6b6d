"""Measure the colour cast of the light, by the backdrop's reference or by what backdrop and eyes have in common."""

from __future__ import annotations

import math

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.background.region import Background
from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.face.face_patch import FacePatch, face_patch, skin
from kiosk.vision.measures.eye_colour import EYE_DISCS, EYES, UNIT_PX, disc
from kiosk.vision.measures.eyes_open import openings
from kiosk.vision.pictures.arrays import Lab, Rgb, lab, polygon

NATURAL_COLOUR_SD = 1.0
"""Standard deviation of the cast found without a reference in photographs that have none: 98 per cent lie below 1.3 in
even light before a grey backdrop, below 2.0 before coloured ones."""

SKIN_A, SKIN_B = (5.0, 25.0), (5.0, 35.0)
"""a* and b* of skin in light of every kind that is taken for natural: component NaturalColour of ISO/IEC 29794-5 (from
memory). Skin of 410 photographs of every origin lies inside but for 2 per cent, which are outside by up to 8."""

WHITE_AB = (1.0, 3.5)
"""a* and b* of the white of the eye in neutral light: the median of the compliant rendered sitters, all tones of skin
alike."""

IRIS_MARGIN, LIDS_X, LIDS_Y = 1.15, 0.95, 0.8
LIGHTER, LEAST_SKIN = 40, 35
"""White is looked for outside the iris widened by a margin, inside the lids drawn closer by two factors, among the
places above one percentile of lightness and below another of a* + b*, because skin and lid are the warmer."""

LEAST_PX = 10
LEAST_OPEN = 0.2
"""Lid gap over eye width below which no white is looked for: half closed."""


def measure_natural_colour(
    rgb: Rgb,
    shape: FaceShape,
    patch: FacePatch | None,
    background: Background | None,
    shift_ab: tuple[float, float] | None = None,
) -> Measurement:
    """Return the colours' deviation from those in neutral light as a distance in CIE 1976 a*b*, 0 or more.

    With a reference of the empty backdrop, by how much the backdrop has left it. Without one, a backdrop may be of any
    colour and the white of an eye reddened, but a cast lies on both: what one has in the direction of the other, and
    of two eyes the one that has less. Skin that is no colour of skin counts in any case. Not measured where the face
    is outside the picture.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB.
    shape
        The aligned face.
    patch
        The same face reduced.
    background
        The background, or None if it is not in view.
    shift_ab
        The shift of the backdrop's a* and b* from its reference, or None without a reference.
    """
    area = None if patch is None else skin(patch)
    if patch is None or area is None or not area.any():
        return Measurement("natural_colour", None, "dE", NATURAL_COLOUR_SD)
    _, skin_a, skin_b = np.median(lab(patch.rgb[area]), axis=0).tolist()
    off = math.hypot(_outside(skin_a, *SKIN_A), _outside(skin_b, *SKIN_B))
    cast = _shared(rgb, shape, background) if shift_ab is None else math.hypot(*shift_ab)
    return Measurement("natural_colour", max(off, cast), "dE", NATURAL_COLOUR_SD)


def _outside(value: float, low: float, high: float) -> float:
    return max(low - value, value - high, 0.0)


def _shared(rgb: Rgb, shape: FaceShape, background: Background | None) -> float:
    """Return the cast common to the backdrop and both eyes, or 0 if one of them is not visible."""
    patch = face_patch(rgb, shape, UNIT_PX, EYES) if max(openings(shape.landmarks_px)) > LEAST_OPEN else None
    if patch is None or background is None:
        return 0.0
    colours = lab(patch.rgb)
    whites = [white - WHITE_AB for eye in EYE_DISCS if (white := _white(colours, patch.landmarks_px, *eye)) is not None]
    return min((_along(white, background.median[1:]) for white in whites), default=0.0)


def _along(one: Array, other: Array) -> float:
    """Return the component of the shorter of two shifts in the direction of the other."""
    length, longer = sorted((float(np.linalg.norm(one)), float(np.linalg.norm(other))))
    return max(float(one @ other) / longer, 0.0) if length > 0 else 0.0


def _white(colours: Lab, landmarks_px: Array, lids: tuple[int, ...], middle: int, edge: int) -> Array | None:
    """Return the median a* and b* of an eye's white, (2,)."""
    outline = landmarks_px[list(lids)]
    opened = polygon(colours.shape[:2], outline.mean(axis=0) + (outline - outline.mean(axis=0)) * (LIDS_X, LIDS_Y))
    places = colours[opened & ~disc(colours, landmarks_px, middle, edge, IRIS_MARGIN)]
    if len(places) < LEAST_PX:
        return None
    places = places[places[:, 0] >= np.percentile(places[:, 0], LIGHTER)]
    warmth = places[:, 1] + places[:, 2]
    return np.asarray(np.median(places[warmth <= np.percentile(warmth, LEAST_SKIN)][:, 1:], axis=0), float)
