"""Shut and half shut eyes, drawn on pictures of open ones: the skin above the eye is stretched down over it."""

from __future__ import annotations

import numpy as np

from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.pictures.arrays import Rgb, sampled

UPPER = ((33, 246, 161, 160, 159, 158, 157, 173, 133), (362, 398, 384, 385, 386, 387, 388, 466, 263))
LOWER = ((33, 7, 163, 144, 145, 153, 154, 155, 133), (362, 382, 381, 380, 374, 373, 390, 249, 263))
BROWS = ((46, 53, 52, 65, 55), (285, 295, 282, 283, 276))
"""Landmarks of the upper and the lower lid from corner to corner, and of the brow's lower edge, each from the picture's
left to its right; of the right and of the left eye."""

LASHES = 0.012
"""How much above the mesh's lid the lashes begin, face units."""

UPPER_SHARE = 0.85
"""How much of the way the upper lid goes when an eye is shut; the lower one rises by the rest (by eye)."""

STILL = 0.75
"""Above this share of the way from lid to brow nothing moves."""

BELOW = 0.10
"""How far beneath the lower lid its skin is drawn along, face units."""

MARGIN = 0.04
SHUT = 0.97


BOTH = (0, 1)
"""The right and the left eye."""


def lowered(rgb: Rgb, shape: FaceShape, share: float, rng: np.random.Generator, eyes: tuple[int, ...] = BOTH) -> Rgb:
    """Return the picture with the upper lids of both eyes, or of one, lowered by a share of the gap beneath, 1 shut.

    A lid on its way takes its lashes and its shadow along; where it is shut, a dark line of random strength takes the
    place of the lashes.
    """
    drawn = rgb.copy()
    upright = shape.to_upright(shape.landmarks_px[:, :2])
    for eye in eyes:
        upper, lower, brow = (upright[list(line[eye])] for line in (UPPER, LOWER, BROWS))
        _lower(rgb, drawn, shape, (upper, lower, brow), share, rng)
    return drawn


def _lower(
    rgb: Rgb, drawn: Rgb, shape: FaceShape, lines: tuple[Array, Array, Array], share: float, rng: np.random.Generator
) -> None:
    """Draw one eye; `lines` are upper lid, lower lid and brow in the upright frame."""
    upper, lower, brow = lines
    left, right = float(upper[0, 0]), float(upper[-1, 0])
    corners = [(x, y) for x in (left - MARGIN, right + MARGIN) for y in (brow[:, 1].max(), lower[:, 1].min() - 0.12)]
    frame = shape.to_picture(np.array(corners))
    height, width = rgb.shape[:2]
    x0, y0 = np.clip(np.floor(frame.min(axis=0)).astype(int), 0, (width - 1, height - 1))
    x1, y1 = np.clip(np.ceil(frame.max(axis=0)).astype(int), (x0 + 1, y0 + 1), (width, height))
    rows, columns = np.mgrid[y0:y1, x0:x1] + 0.5
    x, y = np.moveaxis(
        shape.to_upright(np.stack((columns, rows), axis=-1).reshape(-1, 2)).reshape(*rows.shape, 2), 2, 0
    )
    top, low, fixed = (np.interp(x, line[:, 0], line[:, 1]) for line in (upper, lower, brow))
    shut = share > SHUT
    gap = np.maximum(top - low, 0)
    start = top + float(rng.uniform(0, 0.03)) if shut else top - LASHES
    edge = top - share * (UPPER_SHARE * gap + (0 if shut else LASHES))
    fixed = top + STILL * np.maximum(fixed - top, 0.03)
    way = np.clip((y - edge) / np.maximum(fixed - edge, 1e-6), 0, 1)
    source = np.where((y >= edge) & (y < fixed), start + (fixed - start) * way, y)
    if shut:
        ground = low - BELOW
        way = np.clip((edge - y) / np.maximum(edge - ground, 1e-6), 0, 1)
        source = np.where((y < edge) & (y > ground), low + (ground - low) * way, source)
    within = np.clip(np.minimum(x - left, right - x) / (0.06 * (right - left)) + 0.3, 0, 1)
    source = within * source + (1 - within) * y
    places = shape.to_picture(np.stack((x, source), axis=-1).reshape(-1, 2)).reshape(*rows.shape, 2)
    part = sampled(rgb, places).astype(float)
    if shut and (near := np.abs(y - edge) < 0.03).any():
        dark = np.percentile(part[near], 2, axis=0) * rng.uniform(0.5, 1)
        line = np.exp(-0.5 * ((y - edge) / rng.uniform(0.004, 0.014)) ** 2) * rng.uniform(0.25, 0.95)
        line *= np.clip(np.minimum(x - left, right - x) / (0.1 * (right - left)), 0, 1)
        part += line[..., None] * (np.minimum(dark, part) - part)
    drawn[y0:y1, x0:x1] = np.clip(np.round(part), 0, 255).astype(np.uint8)
