"""A smooth surface through a field of colours: how light falls off over a backdrop, whatever stands before it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.vision.pictures.arrays import Lab, lengths

EVERY = 7
"""Every seventh place is enough to fit six numbers to."""

ROUNDS, SPREADS, LEAST_SPREAD = 4, 1.5, 0.3
"""How often the fit is repeated with less weight for what lies away from it; how many medians of the distances away
the weight has fallen to a quarter (Geman and McClure's), and the least median, which the code values' own steps
leave."""


def smooth_surface(colours: Lab, where: NDArray[np.bool_]) -> Lab:
    """Return the surface of second order in x and y that most of the colours follow, (N, 3).

    The cosine law of a lens and the fall-off of a lamp are close to it over a picture; an edge, a pattern, an object or
    a shadow is not, and hardly moves it.

    Parameters
    ----------
    colours
        (N, 3), all axes of one unit.
    where
        The N places of a picture, (h, w).
    """
    y, x = (index.astype(np.float32) / max(where.shape) for index in np.nonzero(where))
    terms = np.stack((np.ones_like(x), x, y, x * x, x * y, y * y), axis=-1)
    places, values = terms[::EVERY].astype(float), colours[::EVERY].astype(float)
    weights = np.ones(len(places))
    for _ in range(ROUNDS):
        weighted = places.T * weights
        surface = np.linalg.lstsq(weighted @ places, weighted @ values, rcond=None)[0]
        distances = lengths(values - places @ surface)
        spread = SPREADS * max(float(np.median(distances)), LEAST_SPREAD)
        weights = (1 + (distances / spread) ** 2) ** -2
    return np.asarray(terms @ surface.astype(np.float32), np.float32)
