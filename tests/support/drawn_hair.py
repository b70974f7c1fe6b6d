"""Hair that hangs over the eyes, drawn on pictures of bare ones strand by strand."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.upright_crop import eye_centres
from kiosk.vision.pictures.arrays import Rgb

BASE, SPREAD = (0.45, 0.75), 0.62
"""How high above the eyes strands begin, and how far to either side, face units."""

POINTS = 24
FINE = 4
"""Points of a strand, and binary digits of a pixel that it is drawn with."""


@dataclass(frozen=True)
class Fringe:
    """How hair hangs: how many strands, how broad (face units), down to where, how much their tones and ways differ."""

    strands: int
    breadth: tuple[float, float] = (0.006, 0.018)
    end: tuple[float, float] = (-0.16, -0.03)
    tones: float = 0.25
    slant: float = 0.11


DENSE = Fringe(140)
THIN = Fringe(25, end=(-0.2, 0.0))
SMOOTH = Fringe(500, (0.03, 0.03), tones=0.08, slant=0.04)


def hung(rgb: Rgb, shape: FaceShape, fringe: Fringe, colour: tuple[int, int, int], rng: np.random.Generator) -> Rgb:
    """Return the picture with hair of a colour over both eyes."""
    return _drawn(rgb, shape, fringe, colour, rng.uniform(-SPREAD, SPREAD, fringe.strands), rng)


def hung_aside(
    rgb: Rgb, shape: FaceShape, fringe: Fringe, colour: tuple[int, int, int], rng: np.random.Generator
) -> Rgb:
    """Return the picture with a lock over the left eye alone."""
    middle = float(eye_centres(shape)[1][0])
    return _drawn(rgb, shape, fringe, colour, middle + rng.normal(0, 0.09, fringe.strands), rng)


def _drawn(
    rgb: Rgb,
    shape: FaceShape,
    fringe: Fringe,
    colour: tuple[int, int, int],
    begins: np.ndarray,
    rng: np.random.Generator,
) -> Rgb:
    drawn, way = np.ascontiguousarray(rgb).copy(), np.linspace(0, 1, POINTS)
    for begin in begins:
        high, low = rng.uniform(*BASE), rng.uniform(*fringe.end)
        x = begin + rng.normal(0, fringe.slant) * way + rng.normal(0, 0.04) * np.sin(np.pi * way)
        places = shape.to_picture(np.stack((x, high + (low - high) * way), axis=-1)) * 2**FINE
        tone = np.clip(np.array(colour) * np.exp(rng.normal(0, fringe.tones)) + rng.normal(0, 4, 3), 0, 255)
        broad = max(1, round(rng.uniform(*fringe.breadth) * shape.unit_px))
        cv2.polylines(drawn, [np.round(places).astype(np.int32)], False, tone.tolist(), broad, cv2.LINE_AA, FINE)
    return drawn
