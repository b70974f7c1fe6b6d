"""The background beside the head: its region, its colours, and the part of them that smooth light does not explain."""

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
"""The region's extent in head heights: to both sides of the face, above the hair top, and below the chin. No document's
crop shows much more."""

HEAD_PX = 160
"""The head height in px to which pictures are reduced: grain and cloth weave vanish, folds and shadows remain."""

MARGIN, MOST_FRIZZ = 0.03, 0.08
"""The width in head heights of a strip around the person that is excluded, because of the mask's own error; and by how
much frizz that stands out of the mask can widen it at most, because anything more is a pattern or a shadow above the
head."""

THIN = 0.03
"""Structures thinner than this, in head heights, are strands of hair or the picture's grain; 7 mm, a shadow or a door
frame is wider."""

CLIPPED, BURNT_SHARE = 248, 0.5
"""The code value from which a channel counts as clipped, because tone curves flatten before 255; and the fraction of
the background from which clipping hides shadows and folds."""

PERSON = 0.15
SMALLEST_SHARE = 0.05
NEAR_SHARE = 0.25
"""Depth in head heights of the strip beside the person in which cast shadows are searched for."""


@dataclass(frozen=True, slots=True, eq=False)
class Explained:
    """The background split into a part that smooth light explains, and the remainder.

    Attributes
    ----------
    smooth
        The smooth part at each place, (N, 3) L*a*b*; if the reference is used, that of the difference from it.
    rest
        The remainder, (N, 3) L*a*b*.
    broad
        The remainder's colour difference at each place, (N,), without structures thinner than `THIN`.
    """

    smooth: Lab
    rest: Lab
    broad: NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Background:
    """The N sampled places of the background.

    Attributes
    ----------
    colours
        (N, 3) L*a*b*.
    near
        Which places lie beside the head, (N,).
    burnt_out
        Whether so much is clipped that differences cannot be seen.
    explained
        The splits by smooth light alone and, if a reference of the empty backdrop fits, by the reference; the better
        one counts.
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
    """Sample the background, or return None if too little of it is in view.

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
        How far hair extends beyond the mask, in px.
    backdrop
        The backdrop as it would look without the sitter, if known.
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
    """Split the colours at the free places into smooth light and the remainder."""
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
