"""Measure whether spectacles are worn.

A strip across the eyes, turned and scaled by their middles, as histograms of oriented gradients (Dalal and Triggs 2005,
from memory), and one logistic regression. Glare, tint and rims are looked for where this finds spectacles: on a bare
face lids, lashes, shade and shine would pass for them. `tests/bench/fit_spectacles` fits the weights on photographs;
they lie beside this module with a note of what they saw.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.geometry import Rect
from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.upright_crop import eye_centres, upright_part
from kiosk.vision.pictures.arrays import Grey, Rgb, luma, shrunk

FILE = Path(__file__).with_name("spectacles.npz")

COLUMNS, ROWS = 128, 56
STRIP = 2.3
"""Size of the strip in samples, and its width in distances between the eyes: to the temples."""

CELL, BLOCK, ORIENTATIONS = 8, 16, 9
"""Side of a cell and of a block of the histograms in samples, and number of directions."""

POSSIBLE = 0.2
"""The probability from which lenses and rims are examined. Of 462 faces that the fit had not seen, 2 of 366 bare
ones lie above and 1 of 96 with spectacles below."""

LOG_ODDS_SD = 0.6
"""Standard deviation of the log odds of the same face between sizes of the picture."""


@dataclass(frozen=True, slots=True)
class Spectacles:
    """The finding whether spectacles are worn.

    Attributes
    ----------
    probability
        From 0, surely not, to 1, surely.
    """

    probability: float

    @property
    def possible(self) -> bool:
        """Whether lenses and rims should be examined."""
        return self.probability >= POSSIBLE


def spectacles_on(rgb: Rgb, shape: FaceShape) -> Spectacles:
    """Detect whether the face wears spectacles."""
    weights, offset = _fit()
    log_odds = float(gradients(eye_strip(rgb, shape)) @ weights) + offset
    return Spectacles(float(1 / (1 + np.exp(-log_odds))))


def measure_spectacles(worn: Spectacles) -> Measurement:
    """Return the probability that spectacles are worn, 0 to 1, for documents that ban them."""
    sure = worn.probability
    return Measurement("spectacles", sure, "ratio", LOG_ODDS_SD * sure * (1 - sure))


def eye_strip(rgb: Rgb, shape: FaceShape) -> Grey:
    """Return the strip across the eyes, `ROWS` x `COLUMNS` luma."""
    right, left = eye_centres(shape)
    step = STRIP * float(np.linalg.norm(left - right)) / COLUMNS
    times = max(1, int(step * shape.unit_px))
    x, y = (right + left) / 2
    box = Rect(float(x) - COLUMNS * step / 2, float(y) - ROWS * step / 2, COLUMNS * step, ROWS * step)
    return luma(upright_part(shrunk(rgb, times), shape.scaled(1 / times), box, step))


def gradients(strip: Grey) -> NDArray[np.float32]:
    """Return the strip's histograms of oriented gradients as one vector."""
    block, cell = (BLOCK, BLOCK), (CELL, CELL)
    histograms = cv2.HOGDescriptor((COLUMNS, ROWS), block, cell, cell, ORIENTATIONS)
    return np.asarray(histograms.compute(strip), np.float32).ravel()


@cache
def _fit() -> tuple[NDArray[np.float32], float]:
    with np.load(FILE) as stored:
        return stored["weights"].astype(np.float32), float(stored["offset"])
