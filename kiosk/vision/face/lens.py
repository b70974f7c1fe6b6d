"""The places of spectacle lenses, compared with what bare eyes show there.

Each place is sampled as a grid of colours, outwards from the nose. `tests/bench/fit_spectacles` learns from photographs
how bare eyes look at each point of the grid, given the colours of the cheeks and of the nose's root, and how reliably
white light on top of that can be distinguished from differences between people. Colours are absolute, not relative to
the skin: a reflection is as bright on dark skin as on light skin, and relative to dark skin the white of every eye
would seem to shine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.colour import LUMINANCE_WEIGHTS
from kiosk.core.base.geometry import Rect
from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.face.upright_crop import CHEEK, LEFT_CHEEK, RIGHT_CHEEK, around, eye_centres, upright_part
from kiosk.vision.pictures.arrays import Rgb, linear_light, sampled

FILE = Path(__file__).with_name("lens.npz")

OUTWARDS, UPWARDS = (-0.42, 0.42), (-0.36, 0.24)
PITCH, FINE = 0.03, 3
"""Extent of the grid from the middle of the eye and its pitch, in inter-eye distances; samples per pitch."""

LENS = (0.01, -0.04, 0.36, 0.25, 2.6)
"""Centre, half axes and exponent of the superellipse that a lens fills, in inter-eye distances."""

EYE = (0.21, 0.09)
"""Half axes of the ellipse that contains the open eye, in inter-eye distances."""

FACE_EDGE = (127, 356)
SEEN_THROUGH = 0.03
"""The mesh's landmarks nearest to the ears, right and left; and the distance inside them, in inter-eye distances, from
which a lens shows what is behind the head."""

ROOT = Rect(-0.06, -0.12, 0.12, 0.2)
COARSE = 0.02
"""The region of the nose's root relative to the middle of the eyes, and its sampling step, in inter-eye distances."""

LUMINANCE = np.array(LUMINANCE_WEIGHTS)
DARKEST = 0.01
"""Weights of linear sRGB in CIE Y (IEC 61966-2-1), and the smallest luminance used as a divisor."""


@dataclass(frozen=True, slots=True, eq=False)
class LensView:
    """The place of one lens.

    Attributes
    ----------
    colours
        (rows, columns, 3) in linear light, from the top and from the nose.
    skin
        (6,) the mean colour of the cheeks and the colour of the nose's root.
    glass
        Which points a lens would cover.
    """

    colours: Array
    skin: Array
    glass: NDArray[np.bool_]

    @property
    def luminance(self) -> Array:
        """CIE Y of each point relative to that of the cheeks, (rows, columns)."""
        return np.asarray(self.colours @ LUMINANCE / max(float(self.skin[:3] @ LUMINANCE), DARKEST))


@dataclass(frozen=True, slots=True, eq=False)
class BareEyes:
    """The appearance of bare eyes at each point of the grid.

    Attributes
    ----------
    luminance
        (rows, columns), the median of `LensView.luminance`.
    veil
        (rows, columns, 10), the coefficients of colour (3), a constant (1) and `LensView.skin` (6) in the white light
        that explains the point best.
    veil_sd
        (rows, columns), the spread of that estimate on bare eyes.
    """

    luminance: Array
    veil: Array
    veil_sd: Array


@cache
def bare_eyes() -> BareEyes:
    """Load the table; cached."""
    with np.load(FILE) as stored:
        return BareEyes(*(stored[name].astype(float) for name in ("luminance", "veil", "veil_sd")))


def grid() -> Array:
    """Return the grid's points, (rows, columns, 2): outwards and upwards in inter-eye distances."""
    (near, far), (low, high) = OUTWARDS, UPWARDS
    columns, rows = round((far - near) / PITCH), round((high - low) / PITCH)
    x, y = near + (np.arange(columns) + 0.5) * PITCH, high - (np.arange(rows) + 0.5) * PITCH
    return np.stack(np.meshgrid(x, y), axis=-1)


def beside_the_eye() -> NDArray[np.bool_]:
    """Return which points lie outside the open eye."""
    return np.asarray(np.linalg.norm(grid() / EYE, axis=-1) > 1)


def lens_views(rgb: Rgb, shape: FaceShape) -> tuple[LensView, LensView]:
    """Sample the places of the right and the left lens."""
    right, left = eye_centres(shape)
    apart = float(np.linalg.norm(left - right))
    cheeks = shape.to_upright(shape.landmarks_px[[RIGHT_CHEEK, LEFT_CHEEK], :2])
    cheek = np.mean([_median(rgb, shape, around(place, *(CHEEK,) * 4), COARSE) for place in cheeks], axis=0)
    root = Rect(*(apart * length for length in (ROOT.x, ROOT.y, ROOT.width, ROOT.height)))
    skin = np.concatenate((cheek, _median(rgb, shape, root, COARSE * apart)))
    views = []
    for eye, centre, outwards in ((0, right, -1.0), (1, left, 1.0)):
        edge = outwards * float(shape.to_upright(shape.landmarks_px[FACE_EDGE[eye], :2])[0] - centre[0]) / apart
        colours = _colours(rgb, shape, centre, (outwards * apart, apart))
        views.append(LensView(colours, skin, _glass() & (grid()[..., 0] < edge - SEEN_THROUGH)))
    return views[0], views[1]


def _colours(rgb: Rgb, shape: FaceShape, centre: Array, scale: Sequence[float]) -> Array:
    """Return the grid's colours in linear light, each averaged over `FINE` x `FINE` samples."""
    inner = (np.arange(FINE) - (FINE - 1) / 2) * PITCH / FINE
    fine = grid()[:, None, :, None] + np.stack(np.meshgrid(inner, inner), axis=-1)[None, :, None]
    rows, _, columns, _, _ = fine.shape
    places = centre + fine.reshape(rows * FINE, columns * FINE, 2) * scale
    light = linear_light(sampled(rgb, shape.to_picture(places)))
    return np.asarray(light.reshape(rows, FINE, columns, FINE, 3).mean(axis=(1, 3)), float)


def _glass() -> NDArray[np.bool_]:
    x, y, half_width, half_height, exponent = LENS
    off = np.abs((grid() - (x, y)) / (half_width, half_height))
    return np.asarray((off**exponent).sum(axis=-1) < 1)


def _median(rgb: Rgb, shape: FaceShape, box: Rect, step: float) -> Array:
    """Return the median colour of a region, (3,) in linear light."""
    return np.asarray(np.median(linear_light(upright_part(rgb, shape, box, step)).reshape(-1, 3), axis=0), float)
