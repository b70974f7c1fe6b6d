"""Made-up coverings laid on photographed heads, and photographed heads in other colours.

A covering is a zone of the view of `kiosk.vision.measures.covering`, filled with cloth.
"""

from __future__ import annotations

import cv2
import numpy as np

from tests.support.drawn_cloth import COLUMNS, ROWS, Swatch, aside, cloth, colour, height
from tests.support.drawn_coverings import KINDS, Face, Kind, beanie, cap, hat, scarf, wrap


def dyed(view: np.ndarray, face: Face, rng: np.random.Generator) -> np.ndarray:
    """Return the head with its hair in another colour in the same light; what lies about the face counts as hair."""
    radius = np.sqrt((aside / face.half) ** 2 + (np.clip(height, 0, None) / face.hairline) ** 2)
    hair = np.clip((radius - 1) / 0.15, 0, 1)[..., None] * np.clip((height + 1.0) / 0.3, 0, 1)[..., None]
    grey = cv2.cvtColor(view, cv2.COLOR_RGB2GRAY)[..., None] / 255
    new = np.clip(grey ** rng.uniform(0.4, 1.2) * colour(rng) * rng.uniform(1.0, 2.0), 0, 1)
    return np.round(255 * (view / 255 * (1 - hair) + new * hair)).astype(np.uint8)


def recoloured(view: np.ndarray, face: Face, lowest: float, rng: np.random.Generator) -> np.ndarray:
    """Return a covered head with its cloth in another colour, from a height upwards; folds, pattern and light stay."""
    middle, tall = (face.hairline + face.chin) / 2, (face.hairline - face.chin) / 2
    radius = np.sqrt((aside / face.half) ** 2 + ((height - middle) / tall) ** 2)
    zone = (np.clip((radius - 1.02) / 0.1, 0, 1) * np.clip((height - lowest) / 0.1, 0, 1))[..., None]
    base = cv2.cvtColor(view, cv2.COLOR_RGB2HSV).astype(int)
    base[..., 0] = (base[..., 0] + rng.integers(180)) % 180
    turned = cv2.cvtColor(base.astype(np.uint8), cv2.COLOR_HSV2RGB) / 255
    grey = cv2.cvtColor(view, cv2.COLOR_RGB2GRAY)[..., None] / 255
    level = max(float(np.median(grey[zone[..., 0] > 0.5])), 0.05)
    new = grey / level * colour(rng) if rng.random() < 0.7 else turned
    return np.round(255 * np.clip(view / 255 * (1 - zone) + new * zone, 0, 1)).astype(np.uint8)


def draped(
    view: np.ndarray, person: np.ndarray, face: Face, rng: np.random.Generator, swatch: Swatch | None = None
) -> tuple[np.ndarray, np.ndarray]:
    """Return view and mask of the same head with a made-up covering of any kind, as `laid`."""
    return laid(KINDS[rng.choice(len(KINDS), p=[share for _, share in KINDS])][0], view, person, face, rng, swatch)


def laid(
    kind: Kind,
    view: np.ndarray,
    person: np.ndarray,
    face: Face,
    rng: np.random.Generator,
    swatch: Swatch | None = None,
) -> tuple[np.ndarray, np.ndarray]:
    """Return view and mask of the same head with a covering of one kind, or a `collar`.

    Parameters
    ----------
    kind
        What is laid on it.
    view, person
        (rows, columns, 3) uint8 and (rows, columns) float, as `covering.head_view` gives them.
    face
        Where it is.
    rng
        What it depends on.
    swatch
        The cloth that it is made of; none for cloth that is made up.
    """
    edge, outline = kind(face, rng)
    soft = rng.uniform(0.015, 0.04)
    zone = np.clip(np.minimum(edge, outline) / soft + 0.5, 0, 1)
    made = cloth(rng, edge, kind is beanie and rng.random() < 0.7, swatch)
    made *= (1 - rng.uniform(0, 0.5) * np.exp(-np.clip(outline, 0, None) / rng.uniform(0.05, 0.3)))[..., None]
    outwards = -outline if kind in (hat, cap) else -edge
    shade = rng.uniform(0, 0.5) * np.exp(-np.clip(outwards, 0, None) / rng.uniform(0.04, 0.15))
    blend = view / 255 * (1 - shade)[..., None] * (1 - zone[..., None]) + made * zone[..., None]
    blend += rng.normal(0, rng.uniform(0, 0.015), (ROWS, COLUMNS, 1))
    kept = person * (1 - zone)
    if kind in (wrap, scarf) or (kind in (hat, cap, beanie) and rng.random() < 0.5):
        lowest = face.chin if kind is scarf else face.hairline + (0.35 if kind in (hat, cap) else -0.5)
        kept = kept * (1 - np.clip(-outline / soft, 0, 1) * (edge > 0) * np.clip((height - lowest) / 0.2, 0, 1))
    return np.round(255 * np.clip(blend, 0, 1)).astype(np.uint8), np.maximum(kept, zone).astype(np.float32)
