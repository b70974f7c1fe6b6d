"""Reduce a picture of the empty backdrop to a grid of mean colours."""

from __future__ import annotations

import itertools
from datetime import date

from kiosk.core.base.colour import LabColour, lab_of
from kiosk.core.camera_setup.backdrop import COLUMNS, ROWS, Backdrop
from kiosk.vision.pictures.arrays import Rgb, linear_light


def measure_backdrop(rgb: Rgb, taken_on: date) -> Backdrop:
    """Return the grid of a picture; each cell is averaged in linear light and then converted to L*a*b*.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB, upright, with at least one pixel per cell.
    """
    height, width = rgb.shape[:2]
    rows = [height * row // ROWS for row in range(ROWS + 1)]
    columns = [width * column // COLUMNS for column in range(COLUMNS + 1)]
    cells = tuple(
        tuple(_mean_lab(rgb[top:bottom, left:right]) for left, right in itertools.pairwise(columns))
        for top, bottom in itertools.pairwise(rows)
    )
    return Backdrop(taken_on, cells)


def _mean_lab(part: Rgb) -> LabColour:
    red, green, blue = map(float, linear_light(part).mean(axis=(0, 1), dtype=float))
    return lab_of((red, green, blue))
