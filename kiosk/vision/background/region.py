"""The background beside the head: where it is, its colours, and what of them light alone does not explain."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.geometry import Rect
from kiosk.core.base.measurement import HeadPoints
from kiosk.vision.background.smooth_surface import smooth_surface
from kiosk.vision.face.face_model import Array
from kiosk.vision.head.keying import EmptyBackdrop, places_in
from kiosk.vision.models.person import PersonMask
from kiosk.vision.pictures.arrays import Lab, Rgb, lab, lengths, resized

HALF_WIDTH, ABOVE, BELOW = 1.0, 0.35, 0.0
"""Reach of the region in head heights: to both sides of the face, above the hair top, and below the chin. No document's
crop shows much more."""

HEAD_PX = 160
"""Height of the head at which grain and cloth weave have vanished, and folds and shadows stay."""

MARGIN, MOST_FRIZZ = 0.03, 0.08
"""Strip around the person that is left out, in head heights: the mask's own error; and by how much frizz that stands
out of the mask can widen it: more is a pattern or a shadow above the head."""

THIN = 0.03
"""What is thinner, in head heights, is a strand of hair or the picture's grain: 7 mm, a shadow or a door frame is
wider."""

CLIPPED, BURNT_SHARE = 248, 0.5
"""Code value from which a channel loses what it shows, for tone curves bend before 255; and the share of the background
from which that hides shadows and folds."""

PERSON = 0.15
SMALLEST_SHARE = 0.05
NEAR_SHARE = 0.25
"""Depth of the strip beside the person in which a cast shadow is looked for, in head heights."""


@dataclass(frozen=True, slots=True, eq=False)
class Explained:
    """The background as light explains it: a smooth part, and the rest.

    Attributes
    ----------
    smooth
        The smooth part at each place, (N, 3) L*a*b*; of the difference from the reference where that explains it.
    rest
        What is left, (N, 3) L*a*b*.
    broad
        Its colour difference at each place, (N,), without what is thinner than `THIN`.
    """

    smooth: Lab
    rest: Lab
    broad: NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Background:
    """The background's N places.

    Attributes
    ----------
    colours
        (N, 3) L*a*b*.
    near
        Which lie beside the head, (N,).
    burnt_out
        Whether there is too much light to tell them apart.
    explained
        By smooth light alone; and by the reference of the empty backdrop where one fits. Either will do.
    """

    colours: Lab
    near: NDArray[np.bool_]
    burnt_out: bool
    explained: tuple[Explained, ...]

    @cached_property
    def median(self) -> Array:
        """The median of each axis, (3,) L*a*b*."""
        return np.asarray(np.median(self.colours, axis=0), float)


def background_of(
    rgb: Rgb,
    points: HeadPoints,
    mask: PersonMask,
    head_px: float = HEAD_PX,
    frizz_px: float = 0.0,
    backdrop: EmptyBackdrop | None = None,
) -> Background | None:
    """Return the background as it is seen, or None where too little of it is in view.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB.
    points
        The head's points in px.
    mask
        Person mask of the whole picture.
    head_px
        The picture is reduced until the head is this high.
    frizz_px
        How far hair stands out of the mask.
    backdrop
        As it would look without the sitter, where that is known.
    """
    head = points.head_height_px()
    centre_x = points.eye_centre.x
    top = min(points.hair_top.y, points.crown.y)
    height, width = rgb.shape[:2]
    x0, x1 = (int(np.clip(v, 0, width)) for v in (centre_x - HALF_WIDTH * head, centre_x + HALF_WIDTH * head))
    y0, y1 = (int(np.clip(v, 0, height)) for v in (top - ABOVE * head, points.chin.y + BELOW * head))
    if x1 - x0 < 8 or y1 - y0 < 8:
        return None
    factor = min(1.0, head_px / head)
    part = Rect(x0, y0, x1 - x0, y1 - y0)
    size = max(4, round(part.width * factor)), max(4, round(part.height * factor))
    small = resized(rgb[y0:y1, x0:x1], *size)
    person = _mask_on(mask, part, size) > PERSON
    away = cv2.distanceTransform((~person).astype(np.uint8), cv2.DIST_L2, 5) / (factor * head)
    margin = MARGIN + min(frizz_px / head, MOST_FRIZZ)
    free = away > margin
    if free.mean() < SMALLEST_SHARE:
        return None
    shown = small[free]
    colours = lab(shown)
    thin_px = max(3, round(THIN * factor * head) | 1)
    explained = [_explained(colours, free, thin_px)]
    if backdrop is not None:
        explained.append(_explained(colours - backdrop.at(places_in(part, *size))[free], free, thin_px))
    brightest = np.maximum(np.maximum(shown[:, 0], shown[:, 1]), shown[:, 2])
    burnt_out = float((brightest >= CLIPPED).mean()) > BURNT_SHARE
    return Background(colours, away[free] < margin + NEAR_SHARE, burnt_out, tuple(explained))


def _explained(colours: Lab, free: NDArray[np.bool_], thin_px: int) -> Explained:
    """Explain the colours at the free places by smooth light."""
    smooth = smooth_surface(colours, free)
    rest = colours - smooth
    difference = np.zeros(free.shape, np.float32)
    difference[free] = lengths(rest)
    broad = cv2.morphologyEx(difference, cv2.MORPH_OPEN, np.ones((thin_px, thin_px), np.uint8))
    return Explained(smooth, rest, np.asarray(broad[free], np.float32))


def _mask_on(mask: PersonMask, part: Rect, size: tuple[int, int]) -> NDArray[np.float32]:
    """Return the mask resampled to a part of the picture, shape (size[1], size[0])."""
    per_x, per_y = mask.px_per_cell
    step_x, step_y = part.width / size[0] / per_x, part.height / size[1] / per_y
    start_x = (part.x - mask.box_px.x) / per_x + 0.5 * step_x - 0.5
    start_y = (part.y - mask.box_px.y) / per_y + 0.5 * step_y - 0.5
    warp = np.array(((step_x, 0, start_x), (0, step_y, start_y)))
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    warped = cv2.warpAffine(mask.values, warp, size, flags=flags, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(warped, np.float32)
