"""The crown: the top of the head as if there were no hair.

A picture shows the hair top; the thickness of the hair over the crown must be inferred. Two sources are weighed against
each other over all heights in between: the face, from which the height of the skull can be extrapolated, and the
visible shape of the hair. The wider the outline is where a skull already rounds off, the thicker is the hair over it.
But hair that falls beside the jaw is pulled flat by its own weight, however wide it is, and a bun or a tuft on top does
not count as thickness. If the scalp is bare, the outline is the crown. The product of both likelihoods gives the crown
and its standard deviation, which grows when they disagree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kiosk.vision.face.face_model import Array
from kiosk.vision.head.hair import Hair

FROM_FACE_SD = 0.12
"""Standard deviation of the extrapolation from the face alone, in face units: 5 % of the head height, from rendered
heads. The surveyed spread of the share of the head above the eyes is 4.4 % (computed from ANSUR II)."""

BARE_SD = 0.02
BULGE = (-0.25, -0.11, -0.05, 0.02, 0.09, 0.16, 0.27, 0.5, 0.75)
THICKNESS = (0.03, 0.08, 0.12, 0.18, 0.28, 0.37, 0.43, 0.65, 0.85)
THICKNESS_SD = (0.035, 0.05, 0.055, 0.075, 0.11, 0.13, 0.14, 0.15, 0.15)
"""Thickness of hair over the crown, in face units, by the bulge, and its standard deviation. Hair of 48 rendered
heads, short, tied back, tall, curled and afro, is 0.06, 0.09, 0.13, 0.23, 0.29, 0.39, 0.45 and 0.76 thick at about the
first eight of these bulges, on the average. In 356 photographs it ends 0.01, 0.03, 0.07, 0.12, 0.20, 0.23, 0.31 and
0.42 above the crown that the face suggests, with a spread of 0.05 to 0.13 that holds the face's error as well; where
somebody marked the crown, it ends as much above the mark, within 0.04 up to a bulge of 0.3. The numbers lie between
what is known of renderings and what photographs suggest. The photographs: the neutral and smiling half of the Face
Research Lab London Set (DeBruine and Jones 2017, figshare, doi:10.6084/m9.figshare.5047666.v5, CC BY 4.0), portraits
of people who do not exist (CC0) and official portraits (works of the United States government, public domain)."""

FALLEN, FALLEN_SD = 0.14, 0.08
"""The same of hair that falls: rendered long hair and bobs are 0.06 to 0.16 thick, in photographs it ends 0.1 to 0.4
above the crown that the face suggests."""

FALLS, FALLS_WIDTH = 1.1, 0.03
BULGES, BULGES_WIDTH = 0.25, 0.03
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
    """Return the crown's height in face units, from the height that the face suggests and the visible hair."""
    if hair is None:
        return Height(from_face, FROM_FACE_SD)
    top = hair.top - hair.knot
    crown = np.linspace(top - 1.6, top + 0.1, 1701)
    thickness = top - crown
    falls = _step(hair.fall, FALLS, FALLS_WIDTH)
    raised, raised_sd = (float(np.interp(hair.bulge, BULGE, values)) for values in (THICKNESS, THICKNESS_SD))
    covered = (1 - falls) * _normal(thickness, raised, raised_sd) + falls * _normal(thickness, FALLEN, FALLEN_SD)
    seen = hair.bare * _normal(thickness, 0.0, BARE_SD) + (1 - hair.bare) * covered
    weight = seen * _normal(crown, from_face, FROM_FACE_SD)
    total = float(weight.sum())
    if total < 1e-300:
        return Height(from_face, FROM_FACE_SD)
    mean = float((crown * weight).sum()) / total
    return Height(mean, float(np.hypot(np.sqrt(((crown - mean) ** 2 * weight).sum() / total), hair.faint_sd)))


def likely_stands(hair: Hair) -> float:
    """Return the probability from 0 to 1 that the hair stands up from the crown."""
    bulges, falls = _step(hair.bulge, BULGES, BULGES_WIDTH), _step(hair.fall, FALLS, FALLS_WIDTH)
    upright = STANDS_FLAT + (STANDS_BULGING - STANDS_FLAT) * bulges
    return upright + (STANDS_FALLEN - upright) * falls


def _step(value: float, at: float, width: float) -> float:
    return 1.0 / (1.0 + math.exp(min(50.0, -(value - at) / width)))


def _normal(x: Array, mean: float, sd: float) -> Array:
    return np.asarray(np.exp(-0.5 * ((x - mean) / sd) ** 2) / sd)
