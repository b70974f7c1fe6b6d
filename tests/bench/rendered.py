"""What is true of a rendered head, read from folders as tests/data/sitters/README.md describes them."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from kiosk.vision.face.face_model import angles_deg
from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.pictures.photo_file import read_photo

SPLIT = tomllib.loads(Path(__file__).with_name("split.toml").read_text())
"""Seeds of the sets by half: tuning and test."""


def half_of(truth: dict) -> str:
    """Return the half that a picture belongs to: tuning, test, or neither."""
    return next((half for half, seeds in SPLIT.items() if truth.get("seed") in seeds), "neither")


def pictures(folder: Path) -> Iterator[tuple[str, Path, dict]]:
    """Yield name, file and truth of each picture that exists."""
    for name, truth in json.loads((folder / "truth.json").read_text())["images"].items():
        path = folder / truth["file"]
        if path.exists():
            yield name, path, truth


def landmarks_to_fit(folder: Path, reader: FaceReader) -> Iterator[tuple[dict, np.ndarray]]:
    """Yield truth and landmarks (478, 3) in px of every picture in which exactly one face is found, read as a still is.

    Raises
    ------
    SystemExit
        The folder belongs to the test half.
    """
    for _, path, truth in pictures(folder):
        if half_of(truth) == "test":
            raise SystemExit(f"{folder} belongs to the test half: nothing may be fitted on it")
        rgb = read_photo(path).rgb
        faces = reader.faces(rgb)
        landmarks = reader.read_averaged(rgb, faces[0]) if faces else None
        if landmarks is not None:
            yield truth, landmarks


def seen_angles_deg(truth: dict) -> tuple[float, float, float]:
    """Return yaw, pitch, roll of the head against the line of sight to it, which is what a picture shows."""
    camera, marks = truth["camera"], truth["landmarks_px"]
    middle = (np.array(marks["left_eye_inner"]) + marks["right_eye_inner"]) / 2
    x, y = (middle - (camera["cx"], camera["cy"])) / camera["fx"]
    yaw, pitch = np.arctan2(-x, 1.0), np.arctan2(y, np.hypot(x, 1.0))
    turn = np.array(((np.cos(yaw), 0, np.sin(yaw)), (0, 1, 0), (-np.sin(yaw), 0, np.cos(yaw))))
    nod = np.array(((1, 0, 0), (0, np.cos(pitch), np.sin(pitch)), (0, -np.sin(pitch), np.cos(pitch))))
    return angles_deg((turn @ nod).T @ np.array(truth["pose"]["R_head"]))
