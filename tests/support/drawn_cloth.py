"""Made-up cloth over the view in which coverings are measured: a colour, perhaps a pattern, folds, light.

Everything happens in the view of `kiosk.vision.measures.covering`, where the head is upright.
"""

from __future__ import annotations

import cv2
import numpy as np

from kiosk.vision.measures.covering import STEP, VIEW

ROWS, COLUMNS = round(VIEW.height / STEP), round(VIEW.width / STEP)
aside, height = np.meshgrid(
    VIEW.x + (np.arange(COLUMNS) + 0.5) * STEP, VIEW.y + VIEW.height - (np.arange(ROWS) + 0.5) * STEP
)
"""Place of each sample, face units from the middle of the eyes."""

Swatch = np.ndarray
"""A piece of photographed cloth, (rows, columns, 3) uint8 sRGB, sampled as the view is."""

FIELD = 256
"""Side of a field of noise."""


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
