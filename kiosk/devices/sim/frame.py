"""Drawing what the simulated camera sees, by one affine transform of the nearest picture."""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np
import numpy.typing as npt

from kiosk.core.base.geometry import Size
from kiosk.devices.sim.pictures import GridPicture, Similarity, nearest, placement
from kiosk.devices.sim.scenario import Pose
from kiosk.errors import CameraFault

Pixels = npt.NDArray[np.uint8]

_BACKDROP_NOISE_SD = 0.8


def draw(pictures: tuple[GridPicture, ...], pose: Pose | None, frame_px: Size) -> Pixels:
    """Return the frame, shape (height, width, 3), BGR; the empty backdrop where no one sits.

    Raises
    ------
    CameraFault
        A picture cannot be read.
    """
    if pose is None:
        return _empty_booth(nearest(pictures, Pose()), frame_px)
    picture = nearest(pictures, pose)
    return warped(picture, placement(picture, pose, frame_px), frame_px)


def warped(picture: GridPicture, place: Similarity, frame_px: Size) -> Pixels:
    """Return the picture mapped into the frame; what lies outside it goes on as its edge.

    The picture is first shrunk by averaging whole blocks, as many pixels as the map would skip, so that nothing
    aliases; a block average keeps the origin at the corner, and the map is scaled accordingly.
    """
    block = max(int(1 / place.scale), 1)
    source = _shrunk(picture, block)
    a, b = place.a * block, place.b * block
    # OpenCV counts from the centre of the corner pixel: (0, 0) there is (0.5, 0.5) here.
    matrix = np.array(
        [[a, -b, place.c + (a - b - 1) / 2], [b, a, place.d + (a + b - 1) / 2]],
        dtype=np.float64,
    )
    size = (int(frame_px.width), int(frame_px.height))
    frame = cv2.warpAffine(source, matrix, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(frame, dtype=np.uint8)


@lru_cache(maxsize=24)
def _shrunk(picture: GridPicture, block: int) -> Pixels:
    pixels = cv2.imread(str(picture.file), cv2.IMREAD_COLOR)
    if pixels is None:
        raise CameraFault(detail=f"its picture {picture.file.name} cannot be read")
    height, width = pixels.shape[0] // block, pixels.shape[1] // block
    shrunk = cv2.resize(pixels[: height * block, : width * block], (width, height), interpolation=cv2.INTER_AREA)
    return _with_smooth_edges(np.asarray(shrunk, dtype=np.uint8))


def _with_smooth_edges(pixels: Pixels) -> Pixels:
    """Return the picture with outermost pixels that can be repeated without drawing its noise out into streaks.

    The upper edge and the sides show the backdrop and are averaged along their length; the lower edge cuts through
    the body and is averaged only across.
    """
    depth, length = 12, max(pixels.shape[:2]) // 6

    def averaged(strip: Pixels, width: int, height: int) -> Pixels:
        return np.asarray(cv2.blur(strip, (width, height), borderType=cv2.BORDER_REPLICATE), dtype=np.uint8)

    smooth = pixels.copy()
    smooth[-1] = pixels[-depth:].mean(axis=0).round()
    smooth[0] = averaged(pixels[:depth].mean(axis=0, keepdims=True).round().astype(np.uint8), length, 1)[0]
    for edge, strip in ((0, pixels[:, :depth]), (-1, pixels[:, -depth:])):
        smooth[:, edge] = averaged(strip.mean(axis=1, keepdims=True).round().astype(np.uint8), 1, length)[:, 0]
    return smooth


@lru_cache(maxsize=2)
def _empty_booth(picture: GridPicture, frame_px: Size) -> Pixels:
    """Return the backdrop alone: a quadratic surface through the picture's upper edge and sides, and some noise."""
    pixels = _shrunk(picture, 4).astype(np.float64)
    height, width = pixels.shape[:2]
    y, x = np.mgrid[0:height, 0:width].astype(np.float64)
    terms = _terms(x / width, y / height)
    seen = (y < 0.18 * height) | (np.minimum(x, width - 1 - x) < 0.06 * width)
    surface, *_ = np.linalg.lstsq(terms[seen], pixels[seen], rcond=None)
    rows, columns = int(frame_px.height), int(frame_px.width)
    v, u = np.mgrid[0:rows, 0:columns].astype(np.float64)
    backdrop = _terms(u / columns, v / rows) @ surface
    backdrop += np.random.default_rng(0).normal(0.0, _BACKDROP_NOISE_SD, (rows, columns, 1))
    pixels_8bit: Pixels = np.clip(np.rint(backdrop), 0, 255).astype(np.uint8)
    return pixels_8bit


def _terms(x: npt.NDArray[np.float64], y: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
