"""The mean face, upright and frontal, and pictures painted for it by hand."""

from __future__ import annotations

import cv2
import numpy as np

from kiosk.vision.face.face_model import FaceShape, face_model
from kiosk.vision.face.upright_crop import around, eye_centres
from kiosk.vision.measures import gaze
from kiosk.vision.pictures.arrays import Rgb

WIDTH, HEIGHT = 900, 1200
UNIT_PX = 300.0
SKIN = (190, 150, 130)


def mean_face(unit_px: float = 200.0, at: tuple[float, float] = (300.0, 400.0), roll_deg: float = 0.0) -> FaceShape:
    """Return the mean face, frontal, in pixels; by default it stands in the middle of a picture of 600 x 800."""
    landmarks = face_model().mean_shape * (unit_px, -unit_px, -unit_px) + (*at, 0.0)
    return FaceShape(landmarks, (0.0, 0.0, roll_deg), unit_px, np.array(at), {})


FACE = mean_face(UNIT_PX, (WIDTH / 2, HEIGHT / 2))
"""In the middle of the pictures that are painted here."""


def plain(colour: tuple[int, int, int] = SKIN) -> Rgb:
    """Return a picture of one colour."""
    return np.full((HEIGHT, WIDTH, 3), colour, np.uint8)


def filled(picture: Rgb, eye: int, reach: tuple[float, float, float, float], colour: tuple[int, int, int]) -> Rgb:
    """Return the picture with the box that reaches left, right, down and up from an eye, in face units, filled."""
    box = around(eye_centres(FACE)[eye], *reach)
    (x0, y1), (x1, y0) = FACE.to_picture(np.array(((box.x, box.y), (box.x + box.width, box.y + box.height))))
    picture[round(y0) : round(y1), round(x0) : round(x1)] = colour
    return picture


def eyed() -> Rgb:
    """Return a plain face with dark irises."""
    picture = plain()
    for iris in gaze.IRISES:
        middle, edge = FACE.landmarks_px[[iris, iris + 1], :2]
        x, y = np.round(middle).astype(int).tolist()
        cv2.circle(picture, (x, y), round(float(np.linalg.norm(edge - middle))), (20, 20, 20), -1)
    return picture
