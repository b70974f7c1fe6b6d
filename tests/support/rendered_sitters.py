"""The rendered sitters of `tests/data/sitters`, what is true of them, and the limits that they are held against."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np

from kiosk.core.base.measurement import Observation
from kiosk.core.document.limits import CaptureLimit
from kiosk.vision.pictures.photo_file import read_photo

ROOT = Path(__file__).parents[2]
SITTERS = ROOT / "tests" / "data" / "sitters"
TRUTH = json.loads((SITTERS / "truth.json").read_text())["images"]
LIMITS = {
    name: CaptureLimit(**table) for name, table in tomllib.loads((ROOT / "specs" / "capture.toml").read_text()).items()
}

Measured = Callable[[str], Observation]
"""What is measured in the still of the sitter of a name."""

EMPTY = np.full((640, 480, 3), 190, np.uint8)


@cache
def picture(name: str) -> np.ndarray:
    """Return a sitter's picture, (rows, columns, 3) uint8 sRGB, read as a still is; it is not to be changed."""
    return read_photo(SITTERS / TRUTH[name]["file"]).rgb
