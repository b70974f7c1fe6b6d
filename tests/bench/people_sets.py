"""Photographs of people with what was said of them by eye, read from folders of `marks.json` or `labels.csv`.

`tests/data/nobody/README.md` describes the columns of `labels.csv`. `marks.json` is a list of one object a photograph:
`photo`, `person`, `age`, `sex`, `origin`, `expression` (neutral, smiling), `spectacles`, `covering`, `teeth_visible`
(null where it is doubtful) and `named_px`, the points marked by hand, null where nobody marked them.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

MARKS, LABELS = "marks.json", "labels.csv"

EVERY = {"people": "1", "grain": "none"}
"""What is true of every photograph of these sets: one person, and no noise that an office would mind."""

BARE = {"spectacles": "0", "glare": "0", "tint": "0", "rim": "none"}
"""What the columns about spectacles say where none are worn."""

STUDIO = {"hair_over_eye": "0", "red_eye": "0", "light": "neutral"}
"""What nobody labelled in a studio's photographs, because the light and the sitters were chosen so."""

AGES, BANDS = (25, 35), ("to 24", "25 to 34", "from 35")
"""First years of the second and the third band of age, and what the bands are called."""


@dataclass(frozen=True)
class Photograph:
    """One photograph and what is known of it.

    Attributes
    ----------
    group
        Name of the folder.
    labels
        By column of `labels.csv`, and `people`, `grain`, `light`, `expression`; what is not known is not there.
    marks
        Points marked by hand, in px, by name; empty where none were.
    is_compliant
        Whether an office would take it: a studio's photograph of a neutral, bare head.
    """

    group: str
    file: Path
    person: str
    labels: Mapping[str, str]
    origin: str = "unknown"
    sex: str = "unknown"
    age: int | None = None
    marks: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    is_compliant: bool = False

    @property
    def band(self) -> str:
        """The band of age."""
        if self.age is None:
            return "unknown"
        return BANDS[int(np.digitize(self.age, AGES))]


def photographs(folder: Path) -> list[Photograph]:
    """Return the photographs of a folder that exist, in the order of its list.

    Raises
    ------
    SystemExit
        The folder has no list.
    """
    if (folder / MARKS).exists():
        found = [_marked(folder, entry) for entry in json.loads((folder / MARKS).read_text())]
    elif (folder / LABELS).exists():
        with (folder / LABELS).open(newline="") as table:
            found = [_labelled(folder, row) for row in csv.DictReader(table)]
    else:
        raise SystemExit(f"{folder} has neither {MARKS} nor {LABELS}")
    return [photo for photo in found if photo.file.exists()]


def _marked(folder: Path, entry: dict) -> Photograph:
    """Return a studio's photograph."""
    neutral = entry["expression"] == "neutral"
    labels = {**EVERY, **STUDIO, "expression": entry["expression"]}
    if not entry.get("spectacles"):
        labels |= BARE
    if not entry.get("covering"):
        labels["covering"] = "none"
    if neutral:
        labels["eyes"] = "open"
    teeth = entry.get("teeth_visible")
    if teeth is not None:
        labels["mouth"] = "teeth" if teeth else "closed" if neutral else "smile_closed"
    return Photograph(
        folder.name,
        folder / entry["photo"],
        str(entry["person"]),
        labels,
        entry.get("origin") or "unknown",
        entry.get("sex") or "unknown",
        entry.get("age"),
        {name: tuple(place) for name, place in (entry.get("named_px") or {}).items()},
        neutral and not entry.get("covering"),
    )


def _labelled(folder: Path, row: Mapping[str, str]) -> Photograph:
    """Return a photograph that was labelled and not marked; age and sex where the words it was made from say them."""
    asked = re.match(r"(\d+)-year-old (woman|man)", row.get("asked_for", ""))
    age, sex = (int(asked[1]), {"woman": "female", "man": "male"}[asked[2]]) if asked else (None, "unknown")
    labels = {**EVERY, **{name: value for name, value in row.items() if value and name not in {"photo", "note"}}}
    return Photograph(folder.name, folder / row["photo"], Path(row["photo"]).stem, labels, sex=sex, age=age)
