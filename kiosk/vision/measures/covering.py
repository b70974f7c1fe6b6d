"""Whether a hat, a scarf or a hood covers the head.

Hair of every kind has to be told from cloth of every kind: no single texture, colour or outline does it. What is seen
of the head, cell by cell, goes through one layer of learned weights. `tests/bench/fit_covering` fits them; the
numbers, and a note of the pictures that they come from, lie beside this module.
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
from kiosk.vision.models.person import PersonMask
from kiosk.vision.pictures.arrays import Rgb, lab, sampled, shrunk

Samples = NDArray[np.float32]

FILE = Path(__file__).with_name("covering.npz")

COVERING_SD = 0.15
"""Of the answer, where it is near one half: between fits to different people."""

BARE_ODDS = 0.7
"""Logarithm of the odds that a head is bare before it is looked at; the fit sees as many covered ones."""

VIEW, STEP = Rect(-1.8, -1.9, 3.6, 4.0), 0.025
"""The head from above the crown to the shoulders, face units from the middle of the eyes; distance of the samples."""

CELLS = (9, 10)
"""Columns and rows of cells, 0.4 face units wide, in which the view is summed up."""

FACE_ROWS, FACE_COLUMNS = slice(70, 90), slice(52, 92)
"""Samples of the cheeks and the nose, whose median colour is the skin's."""

FINE, COARSE = 1.2, 4.0
"""Scales of texture, in samples."""

LEAST_PERSON = 0.05
"""Share of a cell below which its mean colour is not trusted."""


def measure_no_head_coverings(rgb: Rgb, shape: FaceShape, mask: PersonMask) -> Measurement:
    """Return how sure it is that nothing covers the head, 1 uncovered to 0.

    Component NoHeadCoverings of ISO/IEC 29794-5. Whether a covering is worn for religion, and whether the document
    allows it, only a person can tell.
    """
    return Measurement("no_head_coverings", 1 - covered(*head_view(rgb, shape, mask)), "ratio", COVERING_SD)


def covered(view: Rgb, person: Samples) -> float:
    """Return how likely the head in a view is covered, 0 to 1."""
    return float(1 / (1 + np.exp(-np.clip(_fit().evidence(head_features(view, person)) - BARE_ODDS, -50, 50))))


def head_view(rgb: Rgb, shape: FaceShape, mask: PersonMask) -> tuple[Rgb, Samples]:
    """Return the head upright, (rows, columns, 3) uint8 sRGB, and how surely each sample of it is the person."""
    columns, rows = round(VIEW.width / STEP), round(VIEW.height / STEP)
    x = VIEW.x + (np.arange(columns) + 0.5) * STEP
    y = VIEW.y + VIEW.height - (np.arange(rows) + 0.5) * STEP
    places = shape.to_picture(np.stack(np.meshgrid(x, y), axis=-1))
    times = max(1, round(shape.unit_px * STEP))
    return sampled(shrunk(rgb, times), places / times), mask.at(places)


def head_features(view: Rgb, person: Samples) -> Samples:
    """Return what the fit looks at, (n,): of each cell colour, texture, and how much of it is the person."""
    colour = lab(view)
    light, a, b = (np.ascontiguousarray(colour[..., axis]) for axis in range(3))
    skin = np.median(colour[FACE_ROWS, FACE_COLUMNS].reshape(-1, 3), axis=0)
    smooth = cv2.GaussianBlur(light, (0, 0), FINE)
    fine, coarse = np.abs(light - smooth), np.abs(smooth - cv2.GaussianBlur(smooth, (0, 0), COARSE))
    share = _cells(person)

    def of_person(what: Samples) -> Samples:
        return np.asarray(_cells(what * person) / np.maximum(share, LEAST_PERSON), np.float32)

    looks = (
        light / 25,
        a / 12,
        b / 12,
        np.maximum(-a, 0) / 6,
        np.maximum(-b, 0) / 6,
        np.hypot(a - skin[1], b - skin[2]) / 12,
        np.maximum(np.hypot(a, b) - 28, 0) / 8,
        np.maximum(30 - light, 0) / 12,
    )
    texture = of_person(fine)
    seen = (
        *(of_person(look) * np.minimum(1, 1.5 * share) for look in looks),
        np.log1p(texture),
        np.log1p(of_person(coarse)),
        np.log1p(texture) - np.log(of_person(light) / 50 + 0.1),
        2 * share,
    )
    return np.concatenate([channel.ravel() for channel in seen])


def _cells(values: Samples) -> Samples:
    return np.asarray(cv2.resize(values.astype(np.float32), CELLS, interpolation=cv2.INTER_AREA), np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class Weights:
    """Means and spreads of the features, and the weights of the two layers."""

    mean: Samples
    spread: Samples
    inner: Samples
    inner_bias: Samples
    outer: Samples
    outer_bias: Samples

    def evidence(self, features: Samples) -> float:
        """Return the logarithm of the odds that the head is covered."""
        hidden = np.maximum((features - self.mean) / self.spread @ self.inner + self.inner_bias, 0)
        return float((hidden @ self.outer + self.outer_bias)[0])


@cache
def _fit() -> Weights:
    with np.load(FILE) as stored:
        return Weights(**{name: stored[name].astype(np.float32) for name in Weights.__slots__})
