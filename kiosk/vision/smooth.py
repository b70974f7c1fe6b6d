"""A smooth surface through a field of colours: how light falls off over a backdrop, whatever stands before it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.vision.pictures import Lab

STEP = 3
"""Every third place each way is enough to fit six numbers to."""

ROUNDS, SPREADS, LEAST_SPREAD = 4, 1.5, 0.3
"""How often the fit is repeated with less weight for what lies away from it; how many medians of the distances away
the weight has fallen to a quarter (Geman and McClure's), and the least median, which the code values' own steps
leave."""


def smooth_surface(field: Lab, known: NDArray[np.bool_]) -> Lab:
    """Return the surface of second order in x and y that most of a field follows, same shape.

    The cosine law of a lens and the fall-off of a lamp are close to it over a picture; an edge, a pattern, an object or
    a shadow is not, and hardly moves it.

    Parameters
    ----------
    field
        (h, w, 3), all axes of one unit.
    known
        Where the field counts, (h, w).
    """
    height, width = known.shape
    y, x = np.mgrid[:height, :width] / max(height, width)
    terms = np.stack((np.ones_like(x), x, y, x * x, x * y, y * y), axis=-1)
    few = known[::STEP, ::STEP]
    places, values = terms[::STEP, ::STEP][few], np.asarray(field[::STEP, ::STEP][few], float)
    weights = np.ones(len(places))
    for _ in range(ROUNDS):
        root = np.sqrt(weights)[:, None]
        surface = np.linalg.lstsq(places * root, values * root, rcond=None)[0]
        distances = np.linalg.norm(values - places @ surface, axis=1)
        spread = SPREADS * max(float(np.median(distances)), LEAST_SPREAD)
        weights = (1 + (distances / spread) ** 2) ** -2
    return np.asarray(terms @ surface, np.float32)
