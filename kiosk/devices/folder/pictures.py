"""Pictures of a folder as the booth takes them: JPEG, and a smaller one in place of a live view.

Libraries are imported where they are used, so that the camera's process is there within half a second.
"""

from __future__ import annotations

import io
import math
from pathlib import Path

from kiosk.devices.camera.driver import looks_whole, verified_still
from kiosk.errors import CameraFault, KioskError

_LIVE_LONG_SIDE_PX = 1280
_LIVE_QUALITY = 80
_HEIC_QUALITY = 97
"""Of a HEIC picture that is made a JPEG: it adds nothing visible to what HEIC has taken."""

_JPEG_SUFFIXES = (".jpg", ".jpeg")


def as_jpeg(path: Path) -> bytes:
    """Return a picture as JPEG: byte for byte where it is one, else decoded and encoded again, upright and in sRGB.

    Raises
    ------
    CameraFault
        It is not whole, is damaged, or cannot be read.
    """
    if path.suffix.lower() not in _JPEG_SUFFIXES:
        return _from_heic(path)
    try:
        jpeg = path.read_bytes()
    except OSError as error:
        raise CameraFault(detail=f"{path.name} cannot be read") from error
    if not looks_whole(jpeg):
        raise CameraFault(detail=f"{path.name} is not a whole JPEG")
    return verified_still(jpeg)


def blank() -> bytes:
    """Return the grey frame that stands for no picture."""
    import numpy as np
    import simplejpeg

    grey = np.full((800, 640, 1), 128, np.uint8)
    jpeg: bytes = simplejpeg.encode_jpeg(grey, quality=_LIVE_QUALITY, colorspace="GRAY")
    return jpeg


def small(jpeg: bytes) -> bytes:
    """Return a sound picture, at most 1280 pixels long."""
    import cv2
    import numpy as np

    picture = cv2.imdecode(np.frombuffer(jpeg, np.uint8), cv2.IMREAD_REDUCED_COLOR_2)
    assert picture is not None
    factor = min(1.0, _LIVE_LONG_SIDE_PX / max(picture.shape[:2]))
    resized = cv2.resize(picture, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    _, data = cv2.imencode(".jpg", resized, [cv2.IMWRITE_JPEG_QUALITY, _LIVE_QUALITY])
    return data.tobytes()


def _from_heic(path: Path) -> bytes:
    """Return a HEIC picture as JPEG, with its time, and its focal length, from which the camera's distance is known."""
    from PIL import ExifTags, Image

    from kiosk.vision.pictures.photo_file import FULL_FRAME_MM, read_photo

    try:
        photo = read_photo(path)
    except KioskError as error:
        raise CameraFault(detail=f"{path.name} cannot be read: {error.params.get('detail', error)}") from error
    image, exif = Image.fromarray(photo.rgb), Image.Exif()
    if photo.focal_length_px is not None:
        equivalent_mm = photo.focal_length_px * FULL_FRAME_MM / math.hypot(*image.size)
        exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = round(equivalent_mm)
    if photo.taken_at is not None:
        exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = photo.taken_at
    file = io.BytesIO()
    image.save(file, "JPEG", quality=_HEIC_QUALITY, subsampling=0, exif=exif)
    return file.getvalue()
