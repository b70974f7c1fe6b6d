"""A smooth surface fitted to a field of colours: the fall-off of light on a backdrop, robust to whatever covers it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.vision.pictures.arrays import Lab, lengths

EVERY = 7
"""The fit uses every seventh place, which is enough for six coefficients."""

ROUNDS, SPREADS, LEAST_SPREAD = 4, 1.5, 0.3
"""The number of reweighted fits; how many medians of the residuals away
a place's weight has fallen to a quarter (Geman and McClure's function); and the smallest median, which quantisation
causes."""


def smooth_surface(colours: Lab, where: NDArray[np.bool_]) -> Lab:
    """Return the second-order surface in x and y that most of the colours follow, (N, 3).

    The cosine law of a lens and the fall-off of a lamp are close to such a surface. An edge, a pattern, an object or
    a shadow is not, and hardly affects the fit.

    Parameters
    ----------
    colours
        The colours, (N, 3), with all axes in the same unit.
    where
        A mask (h, w) with N places.
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
