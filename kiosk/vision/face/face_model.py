"""The face model: a mean shape, and a regression that corrects the mesh's systematic errors for the shape of each face.

The mesh's landmarks are rotated, scaled and shifted onto the mean shape (orthogonal Procrustes over landmarks that
expressions hardly move: Schönemann 1966, Umeyama 1991, from memory). The residual is the shape of this person's face,
from which a ridge regression predicts corrections of angles and points. `tests/bench/fit_face` fits it to rendered
heads of known geometry and explains how; the coefficients are stored beside this module.
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
"""The regression's outputs in order. Angles are degrees to add to the alignment's. Eyes and chin are shifts from the
mesh's own points; the crown is a position relative to the middle of the eyes; both are in the upright frame of the face
(x right, y up), in units of the mean shape's outer-eye-corner distance."""

RIGHT_EYE_OUTER, RIGHT_EYE_INNER, LEFT_EYE_INNER, LEFT_EYE_OUTER = 33, 133, 362, 263
CHIN = 152


@dataclass(frozen=True, slots=True, eq=False)
class FaceModel:
    """The coefficients of the fit.

    Attributes
    ----------
    mean_shape
        (478, 3), x right, y up, z towards the camera, outer eye corners 1 apart, symmetric.
    rigid
        Indices of the landmarks used for alignment.
    base
        (6, outputs): constant, yaw, pitch, yaw squared, pitch squared, yaw times pitch, in units of 10 degrees.
    slopes
        (478 * 3, outputs), applied to the residual of the alignment.
    """

    mean_shape: Array
    rigid: NDArray[np.int64]
    base: Array
    slopes: Array


@cache
def face_model() -> FaceModel:
    """Load the model; cached."""
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
        (478, 3) as detected, x right, y down, z away from the camera.
    raw_deg
        Yaw, pitch and roll from the alignment, before the regression.
    unit_px
        The length of the mean shape's unit in the picture.
    origin_px
        The mean of the outer and inner corners of both eyes, (2,).
    regressed
        The regression's results by the names in `OUTPUTS`.
    """

    landmarks_px: Array
    raw_deg: tuple[float, float, float]
    unit_px: float
    origin_px: Array
    regressed: Mapping[str, float]

    @property
    def axes(self) -> Array:
        """The upright frame's x (right) and y (up) axes in the picture, as the rows of (2, 2)."""
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
        """Convert points (..., 2) of the upright frame, relative to the middle of the eyes, to px of the picture."""
        upright = np.asarray(upright, float)
        places = upright.reshape(-1, 2) @ (self.unit_px * self.axes)
        places += self.origin_px
        return places.reshape(upright.shape)

    def to_upright(self, picture_px: Array) -> Array:
        """Convert points (..., 2) in px of the picture to the upright frame."""
        return (np.asarray(picture_px) - self.origin_px) / self.unit_px @ self.axes.T


def angles_deg(rotation: Array) -> tuple[float, float, float]:
    """Return the yaw, pitch and roll in degrees of a rotation with axes x right, y up, z towards the camera.

    The rotation is Ry(yaw) Rx(-pitch) Rz(-roll); positive: nose to picture right, nose up, crown to picture right.
    """
    yaw = np.arctan2(rotation[0, 2], rotation[2, 2])
    pitch = np.arcsin(np.clip(rotation[1, 2], -1.0, 1.0))
    roll = -np.arctan2(rotation[1, 0], rotation[1, 1])
    return float(np.degrees(yaw)), float(np.degrees(pitch)), float(np.degrees(roll))


def align(points: Array, mean_shape: Array, rigid: NDArray[np.int64]) -> tuple[Array, float, Array]:
    """Align `points` with the mean shape over the landmarks `rigid`: rotation (3, 3), scale, residual (N, 3)."""
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
    """Align detected landmarks (478, 3) in px with the mean shape, and apply the regression."""
    model = face_model()
    rotation, scale, residual = align(landmarks_px * (1.0, -1.0, -1.0), model.mean_shape, model.rigid)
    yaw, pitch, roll = angles_deg(rotation)
    outputs = base_terms(np.array(yaw), np.array(pitch)) @ model.base + residual.ravel() @ model.slopes
    corners = landmarks_px[[RIGHT_EYE_OUTER, RIGHT_EYE_INNER, LEFT_EYE_INNER, LEFT_EYE_OUTER], :2]
    regressed = dict(zip(OUTPUTS, outputs.tolist(), strict=True))
    return FaceShape(landmarks_px, (yaw, pitch, roll), scale, corners.mean(axis=0), regressed)
