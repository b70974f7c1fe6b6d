"""The visible hair: how high it reaches, how far it stands out at the sides, and whether the scalp is bare.

Heights and widths are in the upright frame of the face, in its unit (the outer-eye-corner distance, about 0.4 of the
head height), from the middle of the eyes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.face.likely_pitch import likely_pitch_deg
from kiosk.vision.head.keying import EmptyBackdrop
from kiosk.vision.head.scalp import bareness
from kiosk.vision.models.person import PersonMask
from kiosk.vision.pictures.arrays import Rgb, lab, lengths, sampled

SIDE, TOP, STEP = 2.4, 3.2, 0.02
"""Half width and height of the view of head and hair, and the distance of its samples."""

FINE_STEP = 0.005
NEAR_AXIS = 0.9
"""Half the width in which the hair top is looked for: shoulders and a neighbour's head lie farther out."""

PERSON, NOT_PERSON = 0.5, 0.1

WISP_DE, WISP_KEYED_DE = 4.0, 3.0
WISP_SHARE = 0.01
WISP_REACH = 0.6
"""Frizz that the mask leaves out still differs from the background: by the first colour difference, or the
second where it is known what lies behind, in this share of a row, up to this far above the mask."""

HIGH, BEHIND = 0.9, 1.1
"""Height above the eyes at which a skull has begun to round off and hair that is thick over the crown has not, and how
far behind the eyes that place lies, in face units: a nod of 25 degrees moved it by 0.5 in a rendered head."""

BODY_WIDTH, ROUNDING = 0.7, 0.28
"""How wide, over the face's width, a skull is this far below its top: rendered bald heads are 0.73 to 0.83, the
narrowest 0.66. What reaches farther above that width is a bun or a tuft."""

JAW_FROM, JAW_TO, JAW_STEP = -1.15, -0.4, 0.05
"""Heights of the jaw, from the chin to the lobes of the ears, and their distance: only hair that falls is wide at all
of them."""

LEAST_FREE = 100
"""The fewest samples of background from which hair can be distinguished."""

RIGHT_FACE_EDGE, LEFT_FACE_EDGE = 234, 454


@dataclass(frozen=True, slots=True)
class Hair:
    """The visible hair's dimensions.

    Attributes
    ----------
    top, top_x
        Highest point of hair, scalp or head covering near the axis, in face units.
    wisps
        The part of that height that is frizz above the person mask, in face units, 0 or more.
    bulge
        The outline's half width high above the eyes, over half the face's width, less 1: -0.4 to -0.1 where the skull
        rounds off, more the thicker the hair is that stands there.
    fall
        The outline's least half width beside the jaw, over half the face's width: about 0.8 without hair that falls.
    bare
        Probability from 0 to 1 that the top is bare scalp, or shaven so closely that it counts as bare.
    contrast
        Colour difference between the top of the head and the background, dE*ab.
    knot
        The part of the height that is narrower than any skull, a bun or a tuft, in face units, 0 or more.
    """

    top: float
    top_x: float
    wisps: float
    bulge: float
    fall: float
    bare: float
    contrast: float = 100.0
    knot: float = 0.0

    @property
    def faint_sd(self) -> float:
        """The standard deviation of the top that a lack of contrast adds, in face units."""
        return FAINT_SD * max(0.0, 1.0 - self.contrast / FAINT_DE)


FAINT_DE, FAINT_SD = 8.0, 0.12
"""Contrast below which the top of hair is lost in a background of its own colour, and the standard deviation of the top
without any contrast, in face units: white hair before light grey (contrast 5) was read 0.17 too low."""


@dataclass(frozen=True, slots=True, eq=False)
class _View:
    """Head and hair upright: the samples' columns and rows, places in the picture, and confidence to be the person."""

    x: Array
    y: Array
    places_px: Array
    person: NDArray[np.float32]


def hair_of(rgb: Rgb, shape: FaceShape, mask: PersonMask, backdrop: EmptyBackdrop | None = None) -> Hair | None:
    """Measure the hair, or return None if the mask does not show the head.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB.
    shape
        The aligned face.
    mask
        The person mask of the head and its surroundings.
    backdrop
        The backdrop as it would look without the sitter, if known; otherwise it is extrapolated from its visible part.
    """
    x = np.arange(-SIDE, SIDE + STEP / 2, STEP)
    y = np.arange(0.0, TOP, STEP)
    places = shape.to_picture(_grid(x, y))
    person = mask.at(places)
    strip = np.abs(x) <= NEAR_AXIS
    reach = _climb(person[:, strip].max(axis=1))
    if reach is None:
        return None
    mask_top = y[0] + STEP * reach
    top, top_x, contrast = _with_wisps(rgb, shape, _View(x, y, places, person), mask_top, backdrop)
    face_edges = shape.to_upright(shape.landmarks_px[[RIGHT_FACE_EDGE, LEFT_FACE_EDGE], :2])
    half_face = float(np.linalg.norm(face_edges[1] - face_edges[0])) / 2
    widths = _half_widths(person, x) / half_face
    nod_deg = likely_pitch_deg(shape.raw_deg[1] + shape.regressed.get("pitch", 0.0))[0]
    bulge = float(np.interp(HIGH - BEHIND * math.sin(math.radians(nod_deg)), y, widths)) - 1
    wide = y[(widths >= BODY_WIDTH) & (y <= mask_top)]
    knot = max(0.0, top - float(wide.max()) - ROUNDING) if len(wide) else 0.0
    jaw = mask.at(shape.to_picture(_grid(x, np.arange(JAW_FROM, JAW_TO, JAW_STEP))))
    fall = float(_half_widths(jaw, x).min()) / half_face
    return Hair(top, top_x, top - mask_top, bulge, fall, bareness(rgb, shape, mask_top, bulge), contrast, knot)


def _grid(x: Array, y: Array) -> Array:
    return np.stack(np.meshgrid(x, y), axis=-1)


def _climb(confidence: NDArray[np.float32]) -> float | None:
    """Return how many rows the person extends upwards without a gap, with a fraction of a row."""
    below = np.flatnonzero(confidence < PERSON)
    if len(below) and below[0] == 0:
        return None
    if not len(below):
        return float(len(confidence) - 1)
    last = int(below[0]) - 1
    high, low = float(confidence[last]), float(confidence[last + 1])
    return last + (high - PERSON) / max(high - low, 1e-6)


def _half_widths(person: NDArray[np.float32], x: Array) -> Array:
    """Return half the width of the person where each row crosses the axis, or 0."""
    off = person < PERSON
    right = np.where(off & (x >= 0), x, x[-1]).min(axis=1)
    left = np.where(off & (x <= 0), x, x[0]).max(axis=1)
    return np.asarray((right - left) / 2)


def _with_wisps(
    rgb: Rgb, shape: FaceShape, view: _View, mask_top: float, backdrop: EmptyBackdrop | None
) -> tuple[float, float, float]:
    """Return height and x of the highest row above the mask that differs from the background, and the contrast.

    An unknown background is modelled as a plane in each of L*, a*, b*, so that a fall-off of light or a gradient is no
    difference.
    """
    height, width = rgb.shape[:2]
    across, down = view.places_px[..., 0], view.places_px[..., 1]
    free = (view.person < NOT_PERSON) & (across >= 0) & (across < width) & (down >= 0) & (down < height)
    fine_x = view.x[np.abs(view.x) <= NEAR_AXIS]
    fine_y = np.arange(mask_top - 0.1, mask_top + WISP_REACH, FINE_STEP)
    top_x = _mask_top_x(view, mask_top, fine_x)
    if free.sum() < LEAST_FREE:
        return mask_top, top_x, 0.0
    grid = _grid(fine_x, fine_y)
    colours, fine_places = lab(sampled(rgb, view.places_px)[free]), shape.to_picture(grid)
    if backdrop is None:
        terms = _terms(_grid(view.x, view.y)[free])
        plane = np.linalg.lstsq(terms.T @ terms, terms.T @ colours, rcond=None)[0]
        expected, fine_expected = terms @ plane, _terms(grid) @ plane
    else:
        expected, fine_expected = backdrop.at(view.places_px)[free], backdrop.at(fine_places)
    grain = float(np.percentile(lengths(colours - expected), 95))
    away = lengths(lab(sampled(rgb, fine_places)) - fine_expected)
    start = row = int(0.1 / FINE_STEP)
    contrast = float(np.percentile(away[:start], 75))
    differs = away > max(WISP_DE if backdrop is None else WISP_KEYED_DE, 1.5 * grain)
    rows = differs.mean(axis=1) > WISP_SHARE
    while row + 1 < len(rows) and rows[row + 1 : row + 4].any():
        row += 1
    if row == start or row + 1 == len(rows) or fine_y[row] <= mask_top:
        return mask_top, top_x, contrast
    return float(fine_y[row]), float(np.median(fine_x[differs[row]])), contrast


def _terms(places: Array) -> Array:
    """Return 1, x, y of places (..., 2), shape (..., 3)."""
    return np.concatenate((np.ones_like(places[..., :1]), places), axis=-1)


def _mask_top_x(view: _View, top: float, near_x: Array) -> float:
    """Return the x of the mask's highest point."""
    row = int(np.clip(np.searchsorted(view.y, top) - 1, 0, len(view.y) - 1))
    values = np.interp(near_x, view.x, view.person[row])
    return float(np.median(near_x[values >= min(PERSON, float(values.max()))]))
