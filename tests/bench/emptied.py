"""The reference of the empty backdrop that a booth would have, made of a rendered picture's true background.

The generator's masks tell which pixels are background; a smooth surface through their colours goes on behind the
sitter.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import cv2
import numpy as np

from kiosk.core.camera_setup.backdrop import COLUMNS, ROWS, Backdrop
from kiosk.vision.pictures.arrays import Rgb, lab, resized

WIDTH_PX, AWAY_PX = 160, 7
BACKGROUND = 0
"""Size the surface is fitted at, how far it keeps away from the sitter there, and the background's class in a mask."""


def reference_of(file: Path, rgb: Rgb) -> Backdrop | None:
    """Return the reference for one picture, or None where there is no mask or hardly any background."""
    mask = cv2.imread(str(file.parent.parent / "masks" / f"{file.stem}.png"), cv2.IMREAD_GRAYSCALE)
    if mask is None:
        return None
    height = round(WIDTH_PX * rgb.shape[0] / rgb.shape[1])
    person = resized((mask != BACKGROUND).astype(np.uint8) * 255, WIDTH_PX, height)
    free = cv2.dilate(person, np.ones((AWAY_PX, AWAY_PX), np.uint8)) == 0
    if free.mean() < 0.1:
        return None
    y, x = (np.mgrid[:height, :WIDTH_PX] + 0.5) / np.array((height, WIDTH_PX))[:, None, None]
    terms = np.stack((np.ones_like(x), x, y, x * x, y * y, x * y, x**3, y**3), axis=-1)
    surface = np.linalg.lstsq(terms[free], lab(resized(rgb, WIDTH_PX, height))[free], rcond=None)[0]
    cells = cv2.resize((terms @ surface).astype(np.float32), (COLUMNS, ROWS), interpolation=cv2.INTER_AREA)
    return Backdrop(date.min, tuple(tuple(tuple(map(float, cell)) for cell in row) for row in cells))
