"""Pictures that say whose they are: two halves of one colour each, which survive JPEG, crop, scaling and print.

The left half is the number of the sitter, the right half that of the exposure, four bits a channel.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pikepdf
import simplejpeg

STEP = 17
"""Between two levels of a colour: sixteen levels a channel."""
NUMBERS = 16**3
"""How many numbers a half can be."""
LIVE_PX, STILL_PX = (160, 200), (1600, 2000)

Pixels = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Mark:
    """Who was before the camera, and at which exposure; 0 in the live view."""

    sitter: int
    exposure: int = 0


def picture(mark: Mark, width: int, height: int) -> bytes:
    """Return the marked picture as JPEG."""
    row = np.repeat(np.array([_colour(mark.sitter), _colour(mark.exposure)], np.uint8), width // 2, axis=0)
    pixels = np.tile(row, (height, 1, 1))
    jpeg: bytes = simplejpeg.encode_jpeg(pixels, quality=95, colorspace="RGB", colorsubsampling="444")
    return jpeg


def mark_in(pixels: Pixels) -> Mark:
    """Return the mark of a picture, or of what was cut out of one around its middle."""
    height, width = pixels.shape[:2]
    sitter, exposure = (_number(pixels[height // 2, round(share * width)]) for share in (0.3, 0.7))
    return Mark(sitter, exposure)


def mark_on_sheet(pdf: bytes) -> Mark:
    """Return the mark of the photos on a sheet; they are one stored picture."""
    with pikepdf.open(io.BytesIO(pdf)) as file:
        (page,) = file.pages
        (stored,) = page.get_images().values()
        pixels = np.frombuffer(stored.read_bytes(), np.uint8)
        return mark_in(pixels.reshape(int(stored.Height), int(stored.Width), 3))


def _colour(number: int) -> list[int]:
    return [STEP * (number >> shift & 15) for shift in (8, 4, 0)]


def _number(pixel: Pixels) -> int:
    red, green, blue = (round(int(level) / STEP) for level in pixel)
    return red << 8 | green << 4 | blue
