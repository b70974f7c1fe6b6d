"""Spectacles that hide the eyes: glare on a lens, a tint, a broad frame.

All three compare the skin seen through the lens, just under the eye, with the skin of the cheek of the same side. A
face without spectacles gives what perfectly clear ones would.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Array, Shape
from kiosk.vision.pictures import Lab, Rgb, lab, luminance
from kiosk.vision.upright import CHEEK, LEFT_CHEEK, RIGHT_CHEEK, around, eye_centres, upright_part

TINT_SD, GLARE_SD, FRAME_SD = 0.12, 0.02, 0.015
"""Spread over the compliant rendered sitters of the tuning half: eye sockets are shaded, lids and lashes cast shades of
their own."""

STEP = 0.01
FRAME_STEP = 0.004
UNDER_EYE = (0.12, 0.12, 0.20, -0.09)
LENS = (0.20, 0.20, 0.25, 0.08)
RIM_STRIP = (0.06, 0.06, 0.50, -0.08)
"""Reach to the left, right, downwards and upwards of the zones about the middle of
an eye, face units: skin under the eye, the lens, and the strip in which the lower rim runs."""

EYE_HALF = (0.17, 0.08)
"""Half axes of the ellipse that holds the opened eye: its white is no glare."""

GLARE_DE, GLARE_DL = 15.0, 5.0
"""How much the glare differs from the cheek, and how much lighter it is."""

RIM_SHARE = 0.75
"""Part of the strip's median lightness below which a place is rim."""


def measure_lens_tint(rgb: Rgb, shape: Shape) -> Measurement:
    """Return how much light the lenses let through, 1 all of it to 0: the darker eye counts.

    "Dark tinted lenses" of the published benchmark tests, for component EyesVisible of ISO/IEC 29794-5. The luminance
    (CIE Y) of the skin under the eye over that of the cheek. Light that falls from one side darkens one eye as well:
    judge it together with the illumination.
    """
    shares = [
        float(luminance(_skin(rgb, shape, centre)) / max(luminance(cheek), 1e-4))
        for centre, cheek in zip(eye_centres(shape), _cheeks(rgb, shape), strict=True)
    ]
    return Measurement("lens_tint", min(1.0, *shares), "ratio", TINT_SD)


def measure_lens_glare(rgb: Rgb, shape: Shape) -> Measurement:
    """Return the share of the place of a lens that shines, 0 to 1: the worse eye counts.

    "Flash reflection on lenses" of the published benchmark tests, for component EyesVisible of ISO/IEC 29794-5. A place
    shines where it is lighter than the cheek and of another colour (CIE 1976 colour difference); the eye is left out.
    """
    shares = []
    for centre, cheek in zip(eye_centres(shape), _cheeks(rgb, shape), strict=True):
        zone = lab(upright_part(rgb, shape, around(centre, *LENS), STEP))
        away = zone - cheek
        shines = (away[..., 0] > GLARE_DL) & (np.linalg.norm(away, axis=-1) > GLARE_DE)
        shares.append(float(shines[_beside_the_eye(zone)].mean()))
    return Measurement("lens_glare", max(shares), "fraction", GLARE_SD)


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


def _skin(rgb: Rgb, shape: Shape, centre: Array) -> Array:
    zone = lab(upright_part(rgb, shape, around(centre, *UNDER_EYE), STEP))
    return np.asarray(np.median(zone.reshape(-1, 3), axis=0), float)


def _cheeks(rgb: Rgb, shape: Shape) -> list[Array]:
    """Return the median colours of the right and the left cheek, (3,) L*a*b* each."""
    places = shape.to_upright(shape.landmarks_px[[RIGHT_CHEEK, LEFT_CHEEK], :2])
    zones = [lab(upright_part(rgb, shape, around(place, *(CHEEK,) * 4), STEP)) for place in places]
    return [np.asarray(np.median(zone.reshape(-1, 3), axis=0), float) for zone in zones]


def _beside_the_eye(zone: Lab) -> NDArray[np.bool_]:
    """Return which places of the lens's zone lie outside the ellipse of the opened eye."""
    rows, columns = zone.shape[:2]
    left, _, _, above = LENS
    x = (np.arange(columns) + 0.5) * STEP - left
    y = above - (np.arange(rows) + 0.5) * STEP
    inside: NDArray[np.bool_] = (x[None, :] / EYE_HALF[0]) ** 2 + (y[:, None] / EYE_HALF[1]) ** 2 >= 1
    return inside


def _longest(dark: NDArray[np.bool_]) -> int:
    """Return the length of the longest run."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], dark.astype(np.int8), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))
