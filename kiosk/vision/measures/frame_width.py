"""Measure whether the frame of spectacles is heavy."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.face.lens import DARKEST, LUMINANCE
from kiosk.vision.face.upright_crop import eye_centres
from kiosk.vision.measures.spectacles import Spectacles
from kiosk.vision.pictures.arrays import Rgb, linear_light, sampled

FRAME_SD, NO_FRAME_SD = 0.002, 0.001
"""Standard deviations: how much the breadth of the same rim varies between sizes of the picture, and the uncertainty
without spectacles."""

MIDDLE = (0.02, -0.05)
"""Middle of a lens from that of the eye, outwards and upwards in distances between the eyes."""

RAYS, NEAR, FAR, STEP = 48, 0.16, 0.72, 0.005
"""Number of rays from there, where they begin and end, and the distance of their samples, in distances between the
eyes."""

LIDS = (0.29, 0.16)
"""Half axes of the ellipse about the middle of the eye in which no rim is sought, in distances between the eyes: on
dark skin lids and corners are darker against their surroundings than a rim."""

BROWS_DEG = (35.0, 145.0)
"""Rays between these, from outwards over upwards to the nose, cross lids and brows: they do not count."""

BROADEST = 35
"""Samples that a rim is broad at most: about 11 mm."""

BEND, STRAIGHT, DARK = 5, 0.01, 0.5
"""Samples that the rim moves at most from ray to ray, what each of them costs in darkness, and the darkness from which
on a place is as good a rim as any."""

SLACK, END = 4, 0.3
"""Samples from the smooth path within which the darkest place of a ray is sought, and the part of its darkness at which
the rim ends."""

AVERAGE = np.array((1.0, 4.0, 6.0, 4.0, 1.0)) / 16
"""Weights of neighbouring rays."""


def measure_frame_width(worn: Spectacles, rgb: Rgb, shape: FaceShape) -> Measurement:
    """Return the equivalent breadth of the rims in inter-eye distances, or 0 without spectacles.

    "Frames too heavy" of the published benchmark tests. As with a line of a spectrum: the breadth of a perfectly black
    rim that takes as much light out of the rays across it, so that neither blur nor the size of the picture changes it.
    The mean over the rays outwards, downwards and to the nose of both eyes: a rim that runs above the eyes only counts
    little. Where the rim is no darker than the skin, whatever shade lies on the face is read instead.
    """
    if not worn.possible:
        return Measurement("frame_width", 0.0, "ratio", NO_FRAME_SD)
    counts = (angles_deg() < BROWS_DEG[0]) | (angles_deg() > BROWS_DEG[1])
    breadths = [_breadths(darkness)[counts].mean() for darkness in _darkness(rgb, shape)]
    return Measurement("frame_width", float(np.mean(breadths)), "ratio", FRAME_SD)


def angles_deg() -> Array:
    """Return the direction of each ray, from outwards over upwards to the nose."""
    return np.arange(RAYS) * 360 / RAYS


def _darkness(rgb: Rgb, shape: FaceShape) -> list[Array]:
    """Return how much darker each place is than its surroundings, (rays, samples), for the right and the left eye."""
    right, left = eye_centres(shape)
    apart = float(np.linalg.norm(left - right))
    turn = np.radians(angles_deg())
    rays = np.stack((np.cos(turn), np.sin(turn)), axis=-1)[:, None] * np.arange(NEAR, FAR, STEP)[None, :, None] + MIDDLE
    beyond_the_lids = np.linalg.norm(rays / LIDS, axis=-1) > 1
    found = []
    for centre, outwards in ((right, -apart), (left, apart)):
        places = centre + rays * (outwards, apart)
        light = linear_light(sampled(rgb, shape.to_picture(places))) @ LUMINANCE
        reach = len(AVERAGE) // 2
        turned = [np.roll(light, step, axis=0) for step in range(-reach, reach + 1)]
        light = np.tensordot(AVERAGE, turned, axes=1)
        around = cv2.morphologyEx(light, cv2.MORPH_CLOSE, np.ones((1, BROADEST), np.uint8))
        found.append(beyond_the_lids * (1 - light / np.maximum(around, DARKEST)))
    return found


def _breadths(darkness: Array) -> Array:
    """Return the equivalent breadth of the rim on each ray."""
    breadths = []
    for ray, middle in zip(darkness, _path(np.minimum(darkness, DARK)), strict=True):
        first = max(0, middle - SLACK)
        darkest = first + int(ray[first : middle + SLACK + 1].argmax())
        beyond = np.flatnonzero(ray <= END * ray[darkest])
        start = beyond[beyond < darkest].max(initial=-1) + 1
        end = beyond[beyond > darkest].min(initial=len(ray))
        breadths.append(ray[start:end].sum() * STEP)
    return np.array(breadths)


def _path(darkness: Array) -> NDArray[np.int64]:
    """Return the sample at which the darkest smooth path crosses each ray, by dynamic programming."""
    shifts = np.arange(-BEND, BEND + 1)
    samples = np.arange(darkness.shape[1])
    total, came_from = darkness[0], []
    for ray in darkness[1:]:
        padded = np.pad(total, BEND, constant_values=-np.inf)
        choices = np.stack([padded[samples + BEND + shift] - STRAIGHT * abs(shift) for shift in shifts])
        best = choices.argmax(axis=0)
        came_from.append(samples + shifts[best])
        total = ray + choices.max(axis=0)
    path = [int(total.argmax())]
    for back in reversed(came_from):
        path.append(int(back[path[-1]]))
    return np.array(path[::-1])
