"""Scarves, wraps, hoods, hats, caps and beanies of made-up cloth, laid on photographed heads.

Everything happens in the view of `kiosk.vision.measures.covering`, where the head is upright. A covering is a zone of
that view, filled with cloth: a colour, perhaps a pattern, folds along the zone's inner edge, light.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np

from kiosk.vision.measures.covering import STEP, VIEW

ROWS, COLUMNS = round(VIEW.height / STEP), round(VIEW.width / STEP)
aside, height = np.meshgrid(
    VIEW.x + (np.arange(COLUMNS) + 0.5) * STEP, VIEW.y + VIEW.height - (np.arange(ROWS) + 0.5) * STEP
)
"""Place of each sample, face units from the middle of the eyes."""


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


Swatch = np.ndarray
"""A piece of photographed cloth, (rows, columns, 3) uint8 sRGB, sampled as the view is."""

Kind = Callable[[Face, np.random.Generator], tuple[np.ndarray, np.ndarray]]
"""Makes a covering: how far each place lies past its inner edge, and how far inside its outline, face units."""

FIELD = 256
"""Side of a field of noise."""

FLAT_TOP = 1.75
"""Height of the highest hair's top under a covering, face units."""


def noise(rng: np.random.Generator, along: float, across: float) -> np.ndarray:
    """Return smooth noise over the unit square, mean 0 and spread 1; its sizes are shares of the square."""
    down, right = np.fft.fftfreq(FIELD)[:, None], np.fft.rfftfreq(FIELD)
    passed = np.exp(-2 * (np.pi * FIELD) ** 2 * ((across * down) ** 2 + (along * right) ** 2))
    made = np.fft.irfft2(np.fft.rfft2(rng.normal(size=(FIELD, FIELD))) * passed)
    return (made - made.mean()) / made.std()


def sampled(field: np.ndarray, u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """Return a field at places of the unit square, which repeats."""
    return cv2.remap(
        field.astype(np.float32),
        ((u % 1) * (FIELD - 1)).astype(np.float32),
        ((v % 1) * (FIELD - 1)).astype(np.float32),
        cv2.INTER_LINEAR,
    )


def colour(rng: np.random.Generator) -> np.ndarray:
    """Return a colour that cloth has, sRGB 0 to 1: dark, pale, grey, or any hue."""
    kind = rng.random()
    hue, grey = rng.integers(180), rng.random()
    saturation, value = (
        (0.35 * grey, rng.uniform(0.03, 0.2))
        if kind < 0.25
        else (0.3 * grey, rng.uniform(0.7, 1.0))
        if kind < 0.42
        else (0.15 * grey, rng.uniform(0.2, 0.7))
        if kind < 0.55
        else (rng.uniform(0.3, 1.0), rng.uniform(0.15, 0.95))
    )
    pixel = np.array([[[hue, 255 * saturation, 255 * value]]], np.uint8)
    return cv2.cvtColor(pixel, cv2.COLOR_HSV2RGB)[0, 0] / 255


def cloth(
    rng: np.random.Generator, distance: np.ndarray, ribbed: bool = False, swatch: Swatch | None = None
) -> np.ndarray:
    """Return cloth over the whole view, sRGB 0 to 1, whose folds follow an edge at a signed distance.

    It is cut from a swatch of real cloth, or else made up.
    """
    turn = np.arctan2(height - rng.uniform(-0.5, 0.8), aside + rng.normal(0, 0.2)) / (2 * np.pi)
    slant = rng.normal(0, 0.6)
    u, v = turn + slant * 0.1 * distance, 0.25 * distance + slant * turn
    made = printed(rng, u, v) if swatch is None else cut(rng, swatch)
    fold = sampled(noise(rng, rng.uniform(0.05, 0.2), rng.uniform(0.008, 0.03)), u, v)
    deep = sampled(noise(rng, rng.uniform(0.1, 0.3), rng.uniform(0.03, 0.08)), u, v)
    for _ in range(rng.integers(0, 4)):
        angle, at = rng.uniform(0, np.pi), rng.normal(0, 0.4)
        side = aside * np.cos(angle) + (height - 0.9) * np.sin(angle) + 0.3 * aside**2 * rng.normal() - at
        other = sampled(noise(rng, rng.uniform(0.05, 0.2), rng.uniform(0.008, 0.03)), turn + side / 4, 0.25 * side)
        fold = np.where(side > 0, other - rng.uniform(1, 5) * np.exp(-np.clip(side, 0, None) / 0.05), fold)
    light = rng.uniform(0.0, 0.28) * fold + rng.uniform(0.02, 0.2) * deep
    light += rng.normal(0, 0.12) * aside + rng.normal(0, 0.08) * height - rng.uniform(0, 0.12) * aside**2
    if ribbed:
        light += rng.uniform(0.03, 0.2) * np.sin(aside * 2 * np.pi * rng.uniform(5, 14))
    weave = cv2.GaussianBlur(rng.normal(size=(ROWS, COLUMNS)), (0, 0), rng.uniform(0.4, 1.0))
    light += rng.uniform(0.0, 0.04) * weave / weave.std()
    return np.clip(made * np.exp(light)[..., None], 0, 1)


def printed(rng: np.random.Generator, u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """Return plain, spotted or striped cloth that runs along two coordinates."""
    made = np.broadcast_to(colour(rng), (ROWS, COLUMNS, 3)).copy()
    pattern = rng.random()
    if pattern > 0.5:
        scale = rng.uniform(0.008, 0.05)
        spots = sampled(noise(rng, scale, scale), u * rng.uniform(1, 2), v)
        if pattern > 0.85:
            spots = np.sin((u if rng.random() < 0.3 else v) * 2 * np.pi * rng.uniform(4, 25))
        made[spots > rng.uniform(0.2, 1.5)] = colour(rng)
        made[spots < -rng.uniform(0.6, 2.5)] = colour(rng)
    return made


def cut(rng: np.random.Generator, swatch: Swatch) -> np.ndarray:
    """Return real cloth, turned, scaled and mirrored into the whole view, in its own colour or in another."""
    angle, scale = rng.uniform(0, 2 * np.pi), rng.uniform(0.6, 1.6)
    rows, columns = swatch.shape[:2]
    ahead = (aside * np.cos(angle) - height * np.sin(angle)) / scale / STEP + wavy(rng, rng.uniform(0, 8))
    down = (aside * np.sin(angle) + height * np.cos(angle)) / scale / STEP + wavy(rng, rng.uniform(0, 8))
    ahead, down = ahead + rng.uniform(0, columns), down + rng.uniform(0, rows)
    made = cv2.remap(
        swatch,
        (columns - 1 - np.abs(ahead % (2 * columns - 2) - columns + 1)).astype(np.float32),
        (rows - 1 - np.abs(down % (2 * rows - 2) - rows + 1)).astype(np.float32),
        cv2.INTER_LINEAR,
    )
    if rng.random() < 0.4:
        grey = cv2.cvtColor(made, cv2.COLOR_RGB2GRAY)[..., None] / 255
        return grey / max(float(np.median(grey)), 0.1) * colour(rng)
    return made / 255 * np.exp(rng.normal(0, 0.3))


def wavy(rng: np.random.Generator, size: float) -> np.ndarray:
    """Return a small unevenness over the view, face units."""
    return size * sampled(noise(rng, 0.08, 0.08), aside / 6, height / 6)


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


KINDS: tuple[tuple[Kind, float], ...] = (
    (scarf, 0.3),
    (wrap, 0.28),
    (loose, 0.12),
    (beanie, 0.12),
    (hat, 0.1),
    (cap, 0.08),
)
"""What is laid on heads, and its share."""


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
