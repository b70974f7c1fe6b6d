"""One picture of a stream of video: its pixels, and the JPEG that it came as."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
import simplejpeg

from kiosk.devices.camera.driver import DamagedFrame
from kiosk.errors import CameraFault

Pixels = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """One picture: HxWx3 uint8, BGR, and the JPEG that it was; nothing where it came without one."""

    pixels: Pixels
    jpeg: bytes = b""


def from_jpeg(data: bytes) -> Frame:
    """Decode what a camera sent; some webcams fill its buffer up with zeros, which are not the picture's."""
    jpeg = data.rstrip(b"\0")
    try:
        return Frame(simplejpeg.decode_jpeg(jpeg, colorspace="BGR", strict=True), jpeg)
    except ValueError:
        raise DamagedFrame from None


def sharpness(frame: Pixels) -> float:
    """Return the variance of the Laplacian, comparable between pictures of the same scene."""
    return float(cv2.Laplacian(cv2.cvtColor(frame, cv2.COLOR_BGR2GRAY), cv2.CV_64F).var())


def encoded(frame: Pixels, quality: int) -> bytes:
    """Return a picture that came without one as a JPEG."""
    came, jpeg = cv2.imencode(".jpg", frame, [cv2.IMWRITE_JPEG_QUALITY, quality])
    if not came:
        raise CameraFault(detail="its picture cannot be encoded")
    return jpeg.tobytes()
