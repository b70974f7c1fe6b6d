"""The person told from the backdrop by a reference of it: what differs from the empty backdrop is not the backdrop.

The reference is the coarse grid of colours that is kept when a booth is set up (`kiosk.core.camera_setup.backdrop`),
seen by the same camera in the same frame. It knows light that falls off and a backdrop of the hair's own colour, where
the segmentation guesses. A shadow on the backdrop also differs; it passes for backdrop while it is no more than a
shade.
"""

from __future__ import annotations

from copy import copy
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.geometry import Rect
from kiosk.core.camera_setup.backdrop import COLUMNS, ROWS, Backdrop
from kiosk.vision.models.person import PersonMask
from kiosk.vision.pictures.arrays import Lab, Rgb, cut, lab, resized

KEYED_PX = 512
"""Side of the keyed mask: half the segmentation's cell, so that hair is followed closer."""

SURELY_BACKDROP, SURELY_PERSON = 0.02, 0.9
LEAST_SHARE = 0.05
"""Mask below and above which nothing is doubted; share of the part that has to be backdrop to bring the light of both
pictures together."""

DIFFERENT_DE, GRAINS = 3.5, 1.5
"""Colour difference that tells: above what is just seen (2.3: Mahy et al. 1994), and above the picture's own grain."""

SHADE_DL = 30.0
"""How much darker than the backdrop, at unchanged a* and b*, a place may be and still be a shadow on it."""

NOISE_95_PER_75 = 1.38
"""Quantiles of the chi distribution with three degrees of freedom: 2.80 over 2.03."""

FITS_DE = 6.0
"""By how much the sure backdrop may differ from the reference (`_spread`) before that is no longer believed: the
camera was moved, a lamp failed, or a shadow lies on it."""

NEAR = 0.12
"""How far beyond the segmentation's outline something that differs is still the sitter's, as a part of the side."""


class EmptyBackdrop:
    """The empty backdrop as it would look in one picture, from the reference.

    Parameters
    ----------
    reference
        Taken by the same camera in the same frame.
    width_px, height_px
        Size of the picture.

    Attributes
    ----------
    shift_ab
        By how much a* and b* are shifted from the reference's.
    """

    def __init__(self, reference: Backdrop, width_px: int, height_px: int) -> None:
        cells = np.asarray(reference.cells, np.float32)
        self._cells = np.pad(cells, ((1, 1), (1, 1), (0, 0)), mode="reflect", reflect_type="odd")
        self._cell_px = width_px / COLUMNS, height_px / ROWS
        self.shift_ab = (0.0, 0.0)

    def relit(self, scale: float, shift_ab: tuple[float, float]) -> EmptyBackdrop:
        """Return the backdrop in other light: more or less of it scales L* + 16, a* and b* alike (ISO/CIE 11664-4)."""
        other = copy(self)
        other.shift_ab = shift_ab
        other._cells = self._cells * np.float32(scale) + np.array((16 * scale - 16, *shift_ab), np.float32)
        return other

    def at(self, places_px: NDArray[np.float64]) -> Lab:
        """Return the colours at places (h, w, 2) of the picture, (h, w, 3) L*a*b*, interpolated between the cells.

        Beyond the middles of the outermost cells light goes on falling off as it does up to there.
        """
        x = (places_px[..., 0] / self._cell_px[0] + 0.5).astype(np.float32)
        y = (places_px[..., 1] / self._cell_px[1] + 0.5).astype(np.float32)
        return np.asarray(cv2.remap(self._cells, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.float32)


def in_this_light(reference: Backdrop, rgb: Rgb, mask: PersonMask) -> EmptyBackdrop | None:
    """Return the reference in the light of a picture, or None where it does not fit, or too little of it is in view.

    Parameters
    ----------
    reference
        Of the same camera in the same frame.
    rgb
        HxWx3 uint8 sRGB, the whole picture.
    mask
        Person mask of the whole picture.
    """
    height, width = rgb.shape[:2]
    side = mask.values.shape[0]
    sure = mask.values < SURELY_BACKDROP
    if sure.mean() < LEAST_SHARE:
        return None
    colours = lab(resized(rgb, side, side))
    backdrop, places = EmptyBackdrop(reference, width, height), places_in(mask.box_px, side, side)
    expected = backdrop.at(places)
    scale = float(np.median((colours[sure, 0] + 16) / (expected[sure, 0] + 16)))
    shift_a, shift_b = np.median(colours[sure, 1:] - scale * expected[sure, 1:], axis=0).tolist()
    relit = backdrop.relit(scale, (shift_a, shift_b))
    return relit if _spread(np.linalg.norm(colours - relit.at(places), axis=-1)[sure]) <= FITS_DE else None


def keyed(mask: PersonMask, rgb: Rgb, backdrop: EmptyBackdrop) -> PersonMask:
    """Return a mask, at most 1, to which all has been added that differs from the backdrop near the person's outline.

    Parameters
    ----------
    mask
        Person mask of a part of the picture or of all of it.
    rgb
        HxWx3 uint8 sRGB.
    backdrop
        From `in_this_light`.
    """
    values = cv2.resize(mask.values, (KEYED_PX, KEYED_PX), interpolation=cv2.INTER_LINEAR)
    expected = backdrop.at(places_in(mask.box_px, KEYED_PX, KEYED_PX))
    away = lab(resized(cut(rgb, mask.box_px), KEYED_PX, KEYED_PX)) - expected
    chroma = np.linalg.norm(away[..., 1:], axis=-1)
    shade = (away[..., 0] < 0) & (away[..., 0] > -SHADE_DL) & (chroma < DIFFERENT_DE)
    difference = np.where(shade, chroma, np.linalg.norm(away, axis=-1))
    sure = values < SURELY_BACKDROP
    grain = _spread(difference[sure]) if sure.mean() > LEAST_SHARE else 0.0
    least = max(DIFFERENT_DE, GRAINS * grain)
    reach = cv2.distanceTransform((values < 0.5).astype(np.uint8), cv2.DIST_L2, 5) / KEYED_PX
    differs = np.clip(difference / least - 1.0, 0.0, 1.0) * (reach < NEAR)
    connected = _joined(differs > 0.5, values > SURELY_PERSON)
    return PersonMask(np.asarray(np.maximum(values, differs * connected), np.float32), mask.box_px)


def places_in(box_px: Rect, columns: int, rows: int) -> NDArray[np.float64]:
    """Return the middles of the cells of a grid over a part of the picture in px, (rows, columns, 2)."""
    x = box_px.x + box_px.width * (np.arange(columns) + 0.5) / columns
    y = box_px.y + box_px.height * (np.arange(rows) + 0.5) / rows
    return np.stack(np.meshgrid(x, y), axis=-1)


def _spread(differences: NDArray[np.floating[Any]]) -> float:
    """Return the 95th percentile of a noise in three axes, by its 75th: a quarter may be something else."""
    return NOISE_95_PER_75 * float(np.percentile(differences, 75))


def _joined(differs: NDArray[np.bool_], person: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the parts of what differs that hang together with the person."""
    labels = cv2.connectedComponents((differs | person).astype(np.uint8))[1]
    kept = np.unique(labels[person])
    return np.isin(labels, kept[kept > 0])
