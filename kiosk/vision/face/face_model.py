"""The fitted face: a mean shape, and a regression from the shape of one face to what the mesh gets wrong about it.

The mesh's landmarks are rotated, scaled and shifted onto the mean shape (orthogonal Procrustes over landmarks that
expressions hardly move: Schönemann 1966, Umeyama 1991, from memory). What is left over is the shape of this person's
face, and from it a ridge regression predicts the angles and points. `tests/bench/fit_face` fits it on rendered heads
of known geometry and explains how; the numbers lie beside this module.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

OUTPUTS = (
    "yaw",
    "pitch",
    "roll",
    "right_eye_x",
    "right_eye_y",
    "left_eye_x",
    "left_eye_y",
    "chin_x",
    "chin_y",
    "crown_x",
    "crown_y",
)
"""Order of the regression's outputs. Angles: degrees to add to the alignment's. Eyes and chin: shift from the mesh's
own point; crown: place seen from the middle of the eyes; both in the upright frame of the face (x right, y up), in
units of the mean shape's outer-eye-corner distance."""

RIGHT_EYE_OUTER, RIGHT_EYE_INNER, LEFT_EYE_INNER, LEFT_EYE_OUTER = 33, 133, 362, 263
CHIN = 152


@dataclass(frozen=True, slots=True, eq=False)
class FaceModel:
    """The numbers of the fit.

    Attributes
    ----------
    mean_shape
        (478, 3), x right, y up, z towards the camera, outer eye corners 1 apart, symmetric.
    rigid
        Indices of the landmarks the alignment uses.
    base
        (6, outputs): constant, yaw, pitch, yaw squared, pitch squared, yaw times pitch, in units of 10 degrees.
    slopes
        (478 * 3, outputs) on the shape left over by the alignment.
    """

    mean_shape: Array
    rigid: NDArray[np.int64]
    base: Array
    slopes: Array


@cache
def face_model() -> FaceModel:
    """Load the fit, once."""
    with np.load(Path(__file__).with_name("face_model.npz")) as stored:
        return FaceModel(
            mean_shape=stored["mean_shape"].astype(float),
            rigid=stored["rigid"].astype(np.int64),
            base=stored["base"].astype(float),
            slopes=stored["slopes"].astype(float),
        )


@dataclass(frozen=True, slots=True, eq=False)
class FaceShape:
    """One face, aligned with the mean shape.

    Attributes
    ----------
    landmarks_px
        (478, 3) as read, x right, y down, z away from the camera.
    raw_deg
        Yaw, pitch, roll of the alignment, before the regression.
    unit_px
        Length in the picture of the mean shape's unit.
    origin_px
        Middle of the outer and inner corners of both eyes, (2,).
    regressed
        What the regression says about it, by the names in `OUTPUTS`.
    """

    landmarks_px: Array
    raw_deg: tuple[float, float, float]
    unit_px: float
    origin_px: Array
    regressed: Mapping[str, float]

    @property
    def axes(self) -> Array:
        """Rows: the upright frame's x (right) and y (up) in the picture, (2, 2)."""
        roll = np.radians(self.raw_deg[2])
        return np.array(((np.cos(roll), np.sin(roll)), (np.sin(roll), -np.cos(roll))))

    def scaled(self, factor: float) -> FaceShape:
        """Return the face in the picture resized by `factor`."""
        return replace(
            self,
            landmarks_px=self.landmarks_px * factor,
            unit_px=self.unit_px * factor,
            origin_px=self.origin_px * factor,
        )

    def to_picture(self, upright: Array) -> Array:
        """Return points (..., 2) of the upright frame, seen from the middle of the eyes, in px of the picture."""
        upright = np.asarray(upright, float)
        places = upright.reshape(-1, 2) @ (self.unit_px * self.axes)
        places += self.origin_px
        return places.reshape(upright.shape)

    def to_upright(self, picture_px: Array) -> Array:
        """Return points (..., 2) of the picture in the upright frame."""
        return (np.asarray(picture_px) - self.origin_px) / self.unit_px @ self.axes.T


def angles_deg(rotation: Array) -> tuple[float, float, float]:
    """Return yaw, pitch, roll in degrees of a rotation in axes x right, y up, z to the camera.

    The rotation is Ry(yaw) Rx(-pitch) Rz(-roll); positive: nose to picture right, nose up, crown to picture right.
    """
    yaw = np.arctan2(rotation[0, 2], rotation[2, 2])
    pitch = np.arcsin(np.clip(rotation[1, 2], -1.0, 1.0))
    roll = -np.arctan2(rotation[1, 0], rotation[1, 1])
    return float(np.degrees(yaw)), float(np.degrees(pitch)), float(np.degrees(roll))


def align(points: Array, mean_shape: Array, rigid: NDArray[np.int64]) -> tuple[Array, float, Array]:
    """Return rotation (3, 3), scale and residual (N, 3) of `points` against the mean shape, fitted over `rigid`."""
    measured, mean = points[rigid], mean_shape[rigid]
    centre, mean_centre = measured.mean(axis=0), mean.mean(axis=0)
    spread = mean - mean_centre
    u, singular, vt = np.linalg.svd((measured - centre).T @ spread)
    flip = np.array((1.0, 1.0, np.sign(np.linalg.det(u @ vt))))
    rotation = (u * flip) @ vt
    scale = float((singular * flip).sum() / (spread**2).sum())
    residual = (points - centre) @ rotation / scale + mean_centre - mean_shape
    return rotation, scale, residual


def base_terms(yaw_deg: Array, pitch_deg: Array) -> Array:
    """Return the unpenalised terms of the regression, (N, 6)."""
    yaw, pitch = np.asarray(yaw_deg) / 10.0, np.asarray(pitch_deg) / 10.0
    return np.stack((np.ones_like(yaw), yaw, pitch, yaw**2, pitch**2, yaw * pitch), axis=-1)


def shape_of(landmarks_px: Array) -> FaceShape:
    """Align landmarks (478, 3) in px, as read from a picture, with the mean shape, and ask the regression."""
    model = face_model()
    rotation, scale, residual = align(landmarks_px * (1.0, -1.0, -1.0), model.mean_shape, model.rigid)
    yaw, pitch, roll = angles_deg(rotation)
    outputs = base_terms(np.array(yaw), np.array(pitch)) @ model.base + residual.ravel() @ model.slopes
    corners = landmarks_px[[RIGHT_EYE_OUTER, RIGHT_EYE_INNER, LEFT_EYE_INNER, LEFT_EYE_OUTER], :2]
    regressed = dict(zip(OUTPUTS, outputs.tolist(), strict=True))
    return FaceShape(landmarks_px, (yaw, pitch, roll), scale, corners.mean(axis=0), regressed)
