"""Whether the light has a cast, by the white of the eyes."""

from __future__ import annotations

import math

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.eye_colour import EYE_DISCS, EYES, UNIT_PX, disc
from kiosk.vision.eyes_open import openings
from kiosk.vision.face_model import Array, Shape
from kiosk.vision.face_patch import FacePatch, face_patch
from kiosk.vision.pictures import Rgb, lab, polygon

NATURAL_COLOUR_SD = 1.2
"""Spread over the compliant rendered sitters of the tuning half."""

WHITE_AB = (1.0, 3.5)
"""a* and b* of the white of the eye in neutral light: the median of the compliant rendered sitters, all tones of skin
alike. Rendered eyes are all of one white."""

IRIS_MARGIN, LIDS_X, LIDS_Y = 1.15, 0.95, 0.8
LIGHTER, LEAST_SKIN = 40, 35
"""White is looked for outside the iris widened by a margin, inside the lids drawn closer by two factors, among the
places above one percentile of lightness and below another of a* + b*, because skin and lid are the warmer."""

LEAST_PX = 10
LEAST_OPEN = 0.2
"""Lid gap over eye width below which no white is looked for: half closed."""


def measure_natural_colour(rgb: Rgb, shape: Shape) -> Measurement:
    """Return how far the white of the eyes is off its colour in neutral light, CIE 1976 a*b* distance, 0 or more.

    Component NaturalColour of ISO/IEC 29794-5 looks at the skin (from memory), which differs between people by more
    than a cast; the white of the eye does not. A cast lies on both eyes, lids and lashes that slip in on one: the eye
    that is less off counts, and half of what they differ is added to the uncertainty. Not measured where the eyes are
    too small or too far closed.
    """
    patch = face_patch(rgb, shape, UNIT_PX, EYES) if max(openings(shape.landmarks_px)) > LEAST_OPEN else None
    found = [] if patch is None else [white for eye in EYE_DISCS if (white := _white(patch, *eye)) is not None]
    if not found:
        return Measurement("natural_colour", None, "dE", NATURAL_COLOUR_SD)
    off = [float(np.linalg.norm(white - WHITE_AB)) for white in found]
    apart = float(np.linalg.norm(found[0] - found[-1])) / 2
    return Measurement("natural_colour", min(off), "dE", math.hypot(NATURAL_COLOUR_SD, apart))


def _white(patch: FacePatch, lids: tuple[int, ...], middle: int, edge: int) -> Array | None:
    """Return the median a* and b* of an eye's white, (2,)."""
    colours = lab(patch.rgb)
    outline = patch.landmarks_px[list(lids)]
    opened = polygon(colours.shape[:2], outline.mean(axis=0) + (outline - outline.mean(axis=0)) * (LIDS_X, LIDS_Y))
    places = colours[opened & ~disc(colours, patch.landmarks_px, middle, edge, IRIS_MARGIN)]
    if len(places) < LEAST_PX:
        return None
    places = places[places[:, 0] >= np.percentile(places[:, 0], LIGHTER)]
    warmth = places[:, 1] + places[:, 2]
    return np.asarray(np.median(places[warmth <= np.percentile(warmth, LEAST_SKIN)][:, 1:], axis=0), float)
