"""Faces with and without spectacles to fit on, and what pictures go through before they are measured."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
from rendered import half_of, pictures

from kiosk.vision.face.face_model import FaceShape, shape_of
from kiosk.vision.face.upright_crop import eye_centres
from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.pictures.photo_file import read_photo
from tests.support.drawn_spectacles import Glare, Spectacles

REACH = (1.5, 0.9)
MOST_PX = 130.0
"""How far the cut-out reaches from the eyes, across and up and down, in distances between them, and that distance in it
at most."""


@dataclass(frozen=True)
class Face:
    """The eyes of one picture.

    Attributes
    ----------
    who
        The person: a fit is judged by people whom it has not seen.
    kind
        `bare`, or `clear`, `faint` and `strong` spectacles by the glare on them.
    photographed
        Rather than rendered.
    """

    who: str
    kind: str
    photographed: bool
    rgb: Rgb
    shape: FaceShape

    @property
    def spectacled(self) -> bool:
        """Whether spectacles are worn."""
        return self.kind != "bare"


def faces(folder: Path, reader: FaceReader) -> Iterator[Face]:
    """Yield the face of every labelled picture in which one is found: of `marks.json`, `labels.csv` or `truth.json`."""
    for path, who, kind, photographed in _labelled(folder):
        rgb = read_photo(path).rgb
        found = reader.faces(rgb)
        landmarks = reader.read_averaged(rgb, found[0]) if found else None
        if landmarks is not None:
            yield _cut_out(Face(f"{folder.name} {who}", kind, photographed, rgb, shape_of(landmarks)))


def _labelled(folder: Path) -> Iterator[tuple[Path, str, str, bool]]:
    if (folder / "marks.json").exists():
        for entry in json.loads((folder / "marks.json").read_text()):
            yield folder / entry["photo"], entry["person"], "clear" if entry["spectacles"] else "bare", True
    elif (folder / "labels.csv").exists():
        with (folder / "labels.csv").open() as rows:
            for row in csv.DictReader(rows):
                kind = ("clear", "faint", "strong")[int(row["glare"])] if row["spectacles"] == "1" else "bare"
                yield folder / row["photo"], row["photo"], kind, True
    else:
        for name, path, truth in pictures(folder):
            if half_of(truth) == "test":
                raise SystemExit(f"{folder} belongs to the test half: nothing may be fitted on it")
            worn = truth.get("spectacles")
            kind = "bare" if not worn else "strong" if worn.get("glare") else "clear"
            yield path, str(truth.get("identity", {}).get("seed", name)), kind, False


def _cut_out(face: Face) -> Face:
    apart_px = apart(face.shape)
    x, y = face.shape.origin_px
    left, top = max(0, int(x - REACH[0] * apart_px)), max(0, int(y - REACH[1] * apart_px))
    part = face.rgb[top : int(y + REACH[1] * apart_px), left : int(x + REACH[0] * apart_px)]
    shape = shape_of(face.shape.landmarks_px - (left, top, 0))
    return resized(replace(face, rgb=part, shape=shape), min(1.0, MOST_PX / apart_px))


def apart(shape: FaceShape) -> float:
    """Return the distance between the eyes in px."""
    right, left = eye_centres(shape)
    return float(np.linalg.norm(left - right)) * shape.unit_px


def resized(face: Face, factor: float) -> Face:
    """Return the face in a smaller picture."""
    if factor >= 1:
        return face
    rgb = cv2.resize(face.rgb, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    return replace(face, rgb=np.asarray(rgb, np.uint8), shape=face.shape.scaled(factor))


def compressed(rgb: Rgb, quality: int) -> Rgb:
    """Return the picture after JPEG."""
    coded = cv2.imencode(".jpg", np.ascontiguousarray(rgb), [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.asarray(cv2.imdecode(coded, cv2.IMREAD_COLOR), np.uint8)


def worse(face: Face, rng: np.random.Generator) -> Face:
    """Return the face smaller, blurred, lighter or darker, noisy and compressed, each as chance will have it."""
    if rng.random() < 0.75:
        face = resized(face, float(np.exp(rng.uniform(np.log(40), np.log(200)))) / apart(face.shape))
    rgb = face.rgb
    if rng.random() < 0.3:
        rgb = np.asarray(cv2.GaussianBlur(rgb, (0, 0), rng.uniform(0.4, 1.1)), np.uint8)
    if rng.random() < 0.5:
        bent = 255 * rng.uniform(0.6, 1.2) * (rgb / 255) ** np.exp(rng.uniform(-0.5, 0.5))
        rgb = np.clip(bent, 0, 255).astype(np.uint8)
    if rng.random() < 0.3:
        rgb = np.clip(rgb + rng.normal(0, rng.uniform(1, 6), rgb.shape), 0, 255).astype(np.uint8)
    if rng.random() < 0.5:
        rgb = compressed(rgb, int(rng.integers(40, 95)))
    return replace(face, rgb=rgb)


def misread(shape: FaceShape, rng: np.random.Generator) -> FaceShape:
    """Return the face as if the mesh had put the eyes a little elsewhere."""
    middle, apart_px = shape.origin_px, apart(shape)
    turn, size = rng.normal(0, 0.025), np.exp(rng.normal(0, 0.03))
    turned = np.array(((np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn)))) * size
    points = shape.landmarks_px.copy()
    points[:, :2] = (points[:, :2] - middle) @ turned + middle + rng.normal(0, 0.02, 2) * apart_px
    return shape_of(points)


FRAMES = ((0.02, 0.02, 0.02), (0.12, 0.03, 0.01), (0.3, 0.22, 0.1), (0.25, 0.25, 0.27))
"""Colours of black, brown, golden and silver frames, linear light."""


def any_spectacles(rng: np.random.Generator) -> Spectacles:
    """Return spectacles of any make: rimless, half, thin or heavy, one in eight tinted, one in four shining."""
    width_mm = float(rng.uniform(44, 58))
    make = rng.choice(("rimless", "half", "thin", "heavy"), p=(0.4, 0.2, 0.25, 0.15))
    least, most = {"rimless": (0.7, 1.6), "half": (0.7, 3.5), "thin": (0.7, 2.0), "heavy": (2.0, 6.0)}[make]
    tinted, shining = rng.random() < 0.12, rng.random() < 0.25
    light = rng.uniform(0.03, 0.6) * rng.uniform(0.8, 1.2, 3) if tinted else np.ones(3)
    return Spectacles(
        rim_mm=float(rng.uniform(least, most)),
        colour=tuple(np.array(FRAMES[rng.integers(len(FRAMES))]) * rng.uniform(0.4, 1.8)),
        width_mm=width_mm,
        height_mm=width_mm * float(rng.uniform(0.55, 0.85)),
        squareness=float(rng.uniform(2, 4.5)),
        half=make == "half",
        rimless=make == "rimless",
        light=tuple(light),
        glares=(_any_glares(rng), _any_glares(rng)) if shining else ((), ()),
        soft_px=float(rng.uniform(0.8, 2.5)),
    )


def _any_glares(rng: np.random.Generator) -> tuple[Glare, ...]:
    least, most = (-15, -8, 5, 3, 0.2), (15, 14, 30, 20, 0.95)
    return tuple(Glare(*rng.uniform(least, most).tolist()) for _ in range(rng.integers(1, 3)))
