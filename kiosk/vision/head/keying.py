"""Keying by a reference: whatever differs from the empty backdrop belongs to the person.

The reference is the coarse grid of colours recorded when a booth is set up (`kiosk.core.camera_setup.backdrop`),
with the same camera and framing. It resolves uneven light and a backdrop of the hair's own colour, where
the segmentation has to guess. A shadow on the backdrop also differs, but counts as backdrop while it is no more than a
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
"""Side of the keyed mask in cells: half the size of the segmentation's, to follow hair more closely."""

SURELY_BACKDROP, SURELY_PERSON = 0.02, 0.9
LEAST_SHARE = 0.05
"""Mask below and above which nothing is doubted; share of the part that has to be backdrop to bring the light of both
pictures together."""

DIFFERENT_DE, GRAINS = 3.5, 1.5
"""The significant colour difference: above the smallest visible one (2.3: Mahy et al. 1994), and a multiple of the
picture's grain."""

SHADE_DL = 30.0
"""How much darker than the backdrop, with unchanged a* and b*, a place may be to count as a shadow on it."""

NOISE_95_PER_75 = 1.38
"""Quantiles of the chi distribution with three degrees of freedom: 2.80 over 2.03."""

FITS_DE = 6.0
"""The largest difference (`_spread`) between the sure backdrop and the reference at which the reference is still used;
beyond it, the camera was moved, a lamp failed, or a shadow lies on it."""

NEAR = 0.12
"""How far beyond the segmentation's outline a difference still belongs to the sitter, as a fraction of the mask's
side."""


class EmptyBackdrop:
    """The empty backdrop as it would look in one picture, from the reference.

    Parameters
    ----------
    reference
        Taken by the same camera with the same framing.
    width_px, height_px
        Size of the picture.

    Attributes
    ----------
    shift_ab
        The shift of a* and b* from the reference's.
    """

    def __init__(self, reference: Backdrop, width_px: int, height_px: int) -> None:
        cells = np.asarray(reference.cells, np.float32)
        self._cells = np.pad(cells, ((1, 1), (1, 1), (0, 0)), mode="reflect", reflect_type="odd")
        self._cell_px = width_px / COLUMNS, height_px / ROWS
        self.shift_ab = (0.0, 0.0)

    def relit(self, scale: float, shift_ab: tuple[float, float]) -> EmptyBackdrop:
        """Return the backdrop in other light: its amount scales L* + 16, a* and b* alike (ISO/CIE 11664-4)."""
        other = copy(self)
        other.shift_ab = shift_ab
        other._cells = self._cells * np.float32(scale) + np.array((16 * scale - 16, *shift_ab), np.float32)
        return other

    def at(self, places_px: NDArray[np.float64]) -> Lab:
        """Return the colours at positions (h, w, 2) in px as (h, w, 3) L*a*b*, interpolated between the cells.

        Beyond the centres of the outermost cells the fall-off is extrapolated.
        """
        x = (places_px[..., 0] / self._cell_px[0] + 0.5).astype(np.float32)
        y = (places_px[..., 1] / self._cell_px[1] + 0.5).astype(np.float32)
        return np.asarray(cv2.remap(self._cells, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.float32)


def in_this_light(reference: Backdrop, rgb: Rgb, mask: PersonMask) -> EmptyBackdrop | None:
    """Return the reference adapted to a picture's light, or None if it does not fit or too little of it is visible.

    Parameters
    ----------
    reference
        The reference of the same camera with the same framing.
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
    """Return the mask, at most 1, extended by whatever differs from the backdrop near the person's outline.

    Parameters
    ----------
    mask
        Person mask of a part of the picture or of the whole.
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
    """Return the centres of a grid's cells over a part of the picture in px, (rows, columns, 2)."""
    x = box_px.x + box_px.width * (np.arange(columns) + 0.5) / columns
    y = box_px.y + box_px.height * (np.arange(rows) + 0.5) / rows
    return np.stack(np.meshgrid(x, y), axis=-1)


def _spread(differences: NDArray[np.floating[Any]]) -> float:
    """Estimate the 95th percentile of three-axis noise from its 75th, as a quarter of the values may be no noise."""
    return NOISE_95_PER_75 * float(np.percentile(differences, 75))


def _joined(differs: NDArray[np.bool_], person: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the differing regions that are connected to the person."""
    labels = cv2.connectedComponents((differs | person).astype(np.uint8))[1]
    kept = np.unique(labels[person])
    return np.isin(labels, kept[kept > 0])
