"""The look at a photo file: what it shows, and how that is judged. Nothing is cut or drawn here."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from kiosk.core.base.measurement import Observation
from kiosk.errors import NoFace, SeveralFaces
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision


@dataclass(frozen=True, slots=True, eq=False)
class SeenPhoto:
    """A photo file with exactly one person in it.

    Attributes
    ----------
    path
        The file.
    rgb
        HxWx3 uint8 sRGB, upright.
    observation
        What was measured, with its points.
    remarks
        What decoding assumed or left out, as sentences.
    """

    path: Path
    rgb: Rgb
    observation: Observation
    remarks: tuple[str, ...]


def see_photo(path: Path, vision: StillVision) -> SeenPhoto:
    """Return what a picture file shows.

    Raises
    ------
    NoPhotoFile, UnreadablePhoto, PhotoSizeRefused
        The file cannot be used.
    NoFace, SeveralFaces
        The picture does not show exactly one person.
    """
    photo = read_photo(path)
    seen = vision.measure(photo.rgb, photo.focal_length_px)
    if seen.points is None:
        raise SeveralFaces(path=path, count=seen.faces) if seen.faces > 1 else NoFace(path=path)
    return SeenPhoto(path, photo.rgb, seen, tuple(f"The file {remark}." for remark in photo.remarks))
