"""Words about portraits of nobody, as their labels say; tests/data/nobody/README.md tells where they come from."""

from __future__ import annotations

import csv
import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from kiosk.core.base.measurement import Observation
from kiosk.core.document.limits import CaptureLimit
from kiosk.vision.face.face_model import shape_of
from kiosk.vision.head.head_points import head_box
from kiosk.vision.measures.covering import covered, head_view
from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.models.person import PersonReader
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision
from tests.support.cases import slow_but
from tests.support.draped import laid
from tests.support.drawn_coverings import KINDS, Face, Kind, collar

ROOT = Path(__file__).parents[2]
PEOPLE = ROOT / "tests" / "data" / "nobody"
LIMITS = {
    name: CaptureLimit(**table) for name, table in tomllib.loads((ROOT / "specs" / "capture.toml").read_text()).items()
}
with (PEOPLE / "labels.csv").open() as rows:
    LABELS = {row["photo"]: row for row in csv.DictReader(rows)}

BARE = [name for name, row in LABELS.items() if row["covering"] == "none"]
FACE = Face(half=0.77, chin=-1.27, hairline=0.74, top=1.4)
"""The middle of 538 faces."""

DRAWS = 12
"""Cloths of each kind that are laid on each bare head."""


@cache
def portrait(name: str) -> Rgb:
    return read_photo(PEOPLE / name).rgb


@pytest.fixture(scope="module")
def seen(still: StillVision) -> dict[str, Observation]:
    return {name: still.measure(portrait(name)) for name in LABELS}


def outside(seen: dict[str, Observation], requirement: str) -> set[str]:
    """Return whose number lies outside its limit."""
    limit = LIMITS[requirement].range
    return {name for name, one in seen.items() if not limit.contains(one.measurements[requirement].value)}


def test_scarves_wraps_and_a_hood_are_told_from_hair_of_many_kinds(seen: dict[str, Observation]) -> None:
    assert outside(seen, "no_head_coverings") == set(LABELS) - set(BARE)


def test_teeth_are_seen_between_the_lips_and_closed_lips_are_not_refused(seen: dict[str, Observation]) -> None:
    parted = outside(seen, "mouth_closed")
    assert parted >= {name for name, row in LABELS.items() if row["mouth"] == "teeth"}
    limit, sd = LIMITS["mouth_closed"].range.high, seen["m98.jpg"].measurements["mouth_closed"].uncertainty
    closed = {name for name, row in LABELS.items() if "closed" in row["mouth"]}
    assert len(parted & closed) <= 1
    assert all(seen[name].measurements["mouth_closed"].value <= limit + sd for name in closed)


def test_faces_at_rest_are_neutral_and_smiles_with_teeth_are_not(seen: dict[str, Observation]) -> None:
    smiling = outside(seen, "expression_neutrality")
    assert smiling >= {name for name, row in LABELS.items() if row["mouth"] == "teeth"}
    assert not smiling & {name for name, row in LABELS.items() if row["mouth"] == "closed"}


@pytest.fixture(scope="module")
def heads() -> list[tuple[Rgb, np.ndarray]]:
    """Return the upright view of every bare head with its mask."""
    person = PersonReader()
    found = []
    with FaceReader() as faces:
        for rgb in map(portrait, BARE):
            shape = shape_of(faces.read_averaged(rgb, faces.faces(rgb)[0]))
            found.append(head_view(rgb, shape, person.mask(rgb, head_box(shape))))
    person.close()
    return found


@pytest.mark.parametrize("kind", slow_but([KINDS[0][0]], [kind for kind, _ in KINDS]))
def test_cloth_laid_on_bare_heads_covers_them(heads: list[tuple[Rgb, np.ndarray]], kind: Kind) -> None:
    rng = np.random.default_rng(7)
    views = [laid(kind, *head, FACE, rng) for head in heads for _ in range(DRAWS)]
    assert np.mean([covered(*view) > 0.5 for view in views]) >= 0.9


def test_a_high_collar_is_no_head_covering(heads: list[tuple[Rgb, np.ndarray]]) -> None:
    rng = np.random.default_rng(7)
    views = [laid(collar, *head, FACE, rng) for head in heads for _ in range(DRAWS)]
    assert np.mean([covered(*view) > 0.5 for view in views]) <= 0.1
