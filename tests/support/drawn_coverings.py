"""The shapes of scarves, wraps, hoods, hats, caps and beanies, and of collars, about a face.

A shape is two distances over the view, in face units: how far each place lies past the covering's inner edge, and how
far inside its outline.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.support.drawn_cloth import aside, height, wavy


@dataclass(frozen=True)
class Face:
    """Half width of the face, height of the chin, of the hairline and of the hair's top, face units."""

    half: float
    chin: float
    hairline: float
    top: float

    @property
    def reach(self) -> float:
        """Height of the hair's top where a covering presses big hair down."""
        return min(self.top, FLAT_TOP)


Kind = Callable[[Face, np.random.Generator], tuple[np.ndarray, np.ndarray]]
"""Makes a covering: how far each place lies past its inner edge, and how far inside its outline, face units."""

FLAT_TOP = 1.75
"""Height of the highest hair's top under a covering, face units."""


def dome(width: float, foot: float, top: float, power: float) -> np.ndarray:
    """Return how far inside a rounded outline each place lies, above its foot; negative outside."""
    up = np.clip((height - foot) / (top - foot), 0, None)
    return (1 - (np.abs(aside / width) ** power + up**power) ** (1 / power)) * width


def opening(face: Face, rng: np.random.Generator) -> np.ndarray:
    """Return the distance outwards from the edge of a scarf around the face."""
    top, low = face.hairline + rng.uniform(-0.25, 0.25), face.chin - rng.uniform(-0.05, 0.3)
    middle, tall = (top + low) / 2, (top - low) / 2
    wide = face.half * rng.uniform(0.85, 1.12)
    power = rng.uniform(1.9, 2.6)
    radius = (np.abs((aside - rng.normal(0, 0.04)) / wide) ** power + np.abs((height - middle) / tall) ** power) ** (
        1 / power
    )
    return (radius - 1) * wide + wavy(rng, 0.02)


def brow_edge(face: Face, rng: np.random.Generator, high: float = 0.15) -> np.ndarray:
    """Return the distance upwards from an edge across the forehead that falls to the ears or stays level."""
    y = face.hairline + rng.uniform(-0.35, high)
    fall = rng.uniform(-0.05, 0.6) * np.abs(aside / face.half) ** rng.uniform(1.5, 3)
    return height - (y - fall + rng.normal(0, 0.08) * aside) + wavy(rng, 0.02)


def scarf(face: Face, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return a scarf about head and neck, tied or falling on the shoulders."""
    edge = opening(face, rng)
    wide, foot = face.half * rng.uniform(1.05, 1.45), rng.uniform(-0.5, 0.3)
    over = dome(wide, foot, face.reach + rng.uniform(-0.05, 0.3), rng.uniform(1.9, 2.4))
    fall = wide + np.clip(foot - height, 0, None) * rng.uniform(-0.1, 0.7) - np.abs(aside)
    outline = np.where(height > foot, over, fall) + wavy(rng, 0.02)
    end = face.chin - rng.uniform(0.25, 1.2)
    return edge, np.minimum(
        outline, np.where(end - height > 0, end - height, 1) if rng.random() < 0.3 else height - end
    )


def loose(face: Face, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return a scarf laid over the back of the hair, or a hood: hair and neck show before it."""
    wide = Face(
        half=face.half * rng.uniform(1.1, 1.35),
        chin=face.chin - rng.uniform(0.4, 1.5),
        hairline=min(face.hairline + rng.uniform(0.15, 0.45), face.reach - 0.1),
        top=face.top,
    )
    edge = opening(wide, rng)
    over = dome(wide.half * rng.uniform(1.1, 1.35), -0.3, face.reach + rng.uniform(0.05, 0.35), rng.uniform(1.9, 2.5))
    fall = wide.half * rng.uniform(1.1, 1.4) + np.clip(-height, 0, None) * rng.uniform(0, 0.5) - np.abs(aside)
    return edge, np.where(height > -0.3, over, fall) + wavy(rng, 0.03)


def wrap(face: Face, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return a cloth wound about the top of the head, flat or piled up."""
    over = dome(
        face.half * rng.uniform(1.1, 1.6),
        rng.uniform(0.0, 0.7),
        face.reach + rng.uniform(-0.05, 0.6),
        rng.uniform(1.8, 2.8),
    )
    return brow_edge(face, rng), over + wavy(rng, 0.04)


def beanie(face: Face, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return a close cap of knit or cloth."""
    over = dome(
        face.half * rng.uniform(1.05, 1.25),
        rng.uniform(0.0, 0.4),
        face.reach + rng.uniform(0.0, 0.3),
        rng.uniform(2.0, 2.6),
    )
    return brow_edge(face, rng, 0.2), over


def hat(face: Face, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return a hat: a crown over a brim that is as wide as the head to twice that."""
    y = face.hairline + rng.uniform(-0.25, 0.2)
    crown = dome(
        face.half * rng.uniform(0.95, 1.2), y, max(face.reach, y + 0.3) + rng.uniform(0.1, 0.5), rng.uniform(2.2, 5)
    )
    wide, deep = face.half * rng.uniform(1.2, 2.3), rng.uniform(0.05, 0.2)
    bend = rng.uniform(-0.15, 0.15) * (aside / face.half) ** 2
    brim = (1 - np.sqrt((aside / wide) ** 2 + ((height - y - bend) / deep) ** 2)) * deep
    outline = np.maximum(np.where(height > y, crown, -1), brim)
    return height - (y - deep) + bend + 1, outline


def cap(face: Face, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return a cap with a visor seen from the front."""
    y = face.hairline + rng.uniform(-0.2, 0.15)
    crown = dome(
        face.half * rng.uniform(1.02, 1.2),
        y - 0.1,
        max(face.reach, y + 0.3) + rng.uniform(0.05, 0.35),
        rng.uniform(2.0, 3.0),
    )
    visor = (
        1 - np.sqrt((aside / (face.half * rng.uniform(0.8, 1.05))) ** 2 + ((height - y) / rng.uniform(0.1, 0.3)) ** 2)
    ) * 0.2
    return height - y + 0.5, np.maximum(np.where(height > y - 0.05, crown, -1), visor)


def collar(face: Face, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return what covers the neck alone, up to the chin or a little below: a roll neck, a shawl. No head covering."""
    edge = (
        face.chin + rng.uniform(-0.35, 0.12) + rng.uniform(0, 0.3) * (aside / face.half) ** 2 - height + wavy(rng, 0.02)
    )
    return edge, face.half * rng.uniform(0.9, 1.1) + np.clip(face.chin - height, 0, None) * rng.uniform(
        0.2, 1.5
    ) - np.abs(aside)


KINDS: tuple[tuple[Kind, float], ...] = (
    (scarf, 0.3),
    (wrap, 0.28),
    (loose, 0.12),
    (beanie, 0.12),
    (hat, 0.1),
    (cap, 0.08),
)
"""What is laid on heads, and its share."""
