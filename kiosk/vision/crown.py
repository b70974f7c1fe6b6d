"""The crown: the top of the head as if there were no hair.

A picture shows the hair top; how much hair lies over the crown must be inferred. Two voices are weighed against each
other over all heights in between: the face, from which the height of the skull can be extrapolated, and what is seen
of the hair. Hair lies close, or it stands up by an amount to which its bulge at the sides is the best clue, or the
scalp is bare. Hair that falls beside the jaw is pulled flat by its own weight, however far it bulges; hair that bulges
and does not fall, stands. The product of both voices gives the crown and its standard deviation, which grows when they
disagree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kiosk.vision.face_model import Array
from kiosk.vision.hair import Hair

FROM_FACE_SD = 0.13
"""Of the extrapolation from the face alone, in face units: 5 % of the head height, from rendered heads. The surveyed
spread of the share of the head above the eyes is 4.4 % (computed from ANSUR II)."""

BARE_SD = 0.02
FLAT, FLAT_SD = 0.11, 0.045
BIG_PER_BULGE, BIG_LEAST, BIG_SD = 1.05, 0.25, 0.12
"""Thickness of hair over the crown in face units: none; close to the head; standing up. From rendered heads."""

FALLS, FALLS_WIDTH = 1.1, 0.03
BULGES, BULGES_WIDTH = 0.22, 0.025
"""Outline beside the jaw at which hair as likely falls as not, bulge at which it as likely stands as not, and the
widths of the transitions: from rendered heads, all of whose falling hair is wider than the first."""

STANDS_FALLEN, STANDS_FLAT, STANDS_BULGING = 0.05, 0.15, 0.95
"""How likely hair stands that falls, that does neither, that bulges: guesses. A quiff between short sides shows nowhere
but in the height."""


@dataclass(frozen=True, slots=True)
class Height:
    """A height with its standard deviation, in face units above the middle of the eyes."""

    value: float
    sd: float


def crown_height(from_face: float, hair: Hair | None) -> Height:
    """Return the crown's height from the height that the face suggests and the hair that is seen, face units."""
    if hair is None:
        return Height(from_face, FROM_FACE_SD)
    crown = np.linspace(hair.top - 1.6, hair.top + 0.1, 1701)
    thickness = hair.top - crown
    stands = likely_stands(hair)
    covered = (1 - stands) * _normal(thickness, FLAT, FLAT_SD)
    covered += stands * _normal(thickness, BIG_LEAST + BIG_PER_BULGE * hair.bulge, BIG_SD) * (thickness > 0)
    seen = hair.bare * _normal(thickness, 0.0, BARE_SD) + (1 - hair.bare) * covered
    weight = seen * _normal(crown, from_face, FROM_FACE_SD)
    total = float(weight.sum())
    if total < 1e-300:
        return Height(from_face, FROM_FACE_SD)
    mean = float((crown * weight).sum()) / total
    return Height(mean, float(np.hypot(np.sqrt(((crown - mean) ** 2 * weight).sum() / total), hair.faint_sd)))


def likely_stands(hair: Hair) -> float:
    """Return how likely the hair stands up from the crown, 0 to 1."""
    bulges, falls = _step(hair.bulge, BULGES, BULGES_WIDTH), _step(hair.fall, FALLS, FALLS_WIDTH)
    upright = STANDS_FLAT + (STANDS_BULGING - STANDS_FLAT) * bulges
    return upright + (STANDS_FALLEN - upright) * falls


def _step(value: float, at: float, width: float) -> float:
    return 1.0 / (1.0 + math.exp(min(50.0, -(value - at) / width)))


def _normal(x: Array, mean: float, sd: float) -> Array:
    return np.asarray(np.exp(-0.5 * ((x - mean) / sd) ** 2) / sd)
