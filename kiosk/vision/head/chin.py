"""The chin's lower edge, from the mesh and from the shade below it.

The mesh places the chin by the rest of the face and is often 2 % of the head height off. Under any light from above or
from the camera the skin is darkest where the chin's underside turns away; this place is searched for near the mesh's.
On rendered heads it is the outline itself; under the soft light of a studio the shade is broad, people mark the outline
at its upper end, and the darkest place lies 1.3 % lower. The estimate stays between the two: 0.3 % above the outline of
rendered heads, with a standard deviation of 0.7 to 1.2 % (1.8 % without the shade), and 0.6 % below 51 hand marks on
photographs, with one of 0.7 %.
"""

from __future__ import annotations

import cv2
import numpy as np

from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.head.beard import bearded
from kiosk.vision.head.crown import Height
from kiosk.vision.pictures.arrays import Rgb, lab, sampled

HALF_STRIP = 0.06
REACH_UP, REACH_DOWN = 0.12, 0.09
SEARCH_UP = 0.07
STEP = 0.001
SMOOTH = 0.003
"""Half width of the strip, how far it reaches above and below the expected chin, how far up the edge is looked for,
distance of the samples and their smoothing, in head heights."""

PRIOR_SD = 0.03
DARKNESS = 0.2
"""How far up the valley's side, as a part of its depth, a place is still likely to be the edge: twice as far as suits
rendered heads best, for the broad shade of a studio. Depth is counted from the brightest place above: skin that is dark
over a pale beard is no valley."""

EARLY = 1.0
"""How much less likely the last place in the shade is than the first, as an exponent: a scarf or a collar keeps it dark
below the edge."""

SKIN_DC = 8.0
"""Chroma difference from the chin's skin at which a place is rather collar or scarf."""

FLAT_DL = 3.0
"""A valley of brightness shallower than this is not evidence."""

SPREAD, LEAST_SD = 0.7, 0.006
"""The error's standard deviation is this fraction of the likelihood's width (166 rendered pictures), and at least this
many head heights."""


BEARD_SD = 0.02
"""The standard deviation that a beard adds: the mesh follows the beard, and the shade is below it."""


def chin_height(rgb: Rgb, shape: FaceShape, expected: Array, head_height: float) -> Height:
    """Return the height of the chin's edge above the eyes in face units, which is negative.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB.
    shape
        The aligned face.
    expected
        The chin according to the regression, (2,) in the upright frame.
    head_height
        Crown to chin in face units.
    """
    down = np.arange(-REACH_UP, REACH_DOWN + STEP / 2, STEP)
    across = np.linspace(-HALF_STRIP, HALF_STRIP, 13)
    x, y = np.meshgrid(expected[0] + across * head_height, expected[1] - down * head_height)
    strip = np.median(lab(sampled(rgb, shape.to_picture(np.stack((x, y), axis=-1)))), axis=1)
    strip = np.asarray(cv2.GaussianBlur(strip, (1, 0), 0.0, sigmaY=SMOOTH / STEP), float)
    search = down >= -SEARCH_UP
    place = down[search]
    drop = (np.maximum.accumulate(strip[:, 0]) - strip[:, 0])[search]
    skin = np.median(strip[down < -0.04], axis=0)
    foreign = np.minimum(np.linalg.norm((strip[search] - skin)[:, 1:], axis=1) / SKIN_DC, 3.0)
    deepest = float(drop.max())
    doubt = (deepest - drop) / (DARKNESS * max(deepest, FLAT_DL)) + (place / PRIOR_SD) ** 2 / 2 + foreign**2 / 2
    weight = np.exp(doubt.min() - doubt)
    weight *= np.exp(-EARLY * (np.cumsum(weight) / weight.sum()))
    mean = float((place * weight).sum() / weight.sum())
    sd = float(np.sqrt(((place - mean) ** 2 * weight).sum() / weight.sum()))
    sd = float(np.hypot(max(SPREAD * sd, LEAST_SD), BEARD_SD * bearded(rgb, shape, skin)))
    return Height(float(expected[1]) - mean * head_height, sd * head_height)
