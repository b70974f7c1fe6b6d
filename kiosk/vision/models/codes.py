"""Codes in a live picture, read by zxing-cpp: what they say, and nothing else of the picture."""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt
import zxingcpp

from kiosk.vision.pictures.arrays import Rgb

KINDS = (
    zxingcpp.BarcodeFormat.QRCode,
    zxingcpp.BarcodeFormat.DataMatrix,
    zxingcpp.BarcodeFormat.Aztec,
    zxingcpp.BarcodeFormat.PDF417,
    zxingcpp.BarcodeFormat.Code128,
)
"""What invitations carry (practice); each has a check of its own, so that hardly any is read wrongly."""

MOST_CODES = 4
"""A wall of posters is no invitation."""

EVERY_S = 0.15
"""How often a picture is read: a code that is held up is found before the hand is at rest."""


def read_codes(rgb: Rgb, *, turned: bool = False) -> tuple[str, ...]:
    """Return what the codes in a picture say, of shape (height, width, 3) and sRGB; each text once.

    Parameters
    ----------
    turned
        Read it turned by 45 degrees: codes of bars are found only where a row or a column of pixels crosses them all.
    """
    grey = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
    if turned:
        grey = _turned(grey)
    found = zxingcpp.read_barcodes(grey, formats=zxingcpp.BarcodeFormats(KINDS), text_mode=zxingcpp.TextMode.Plain)
    return tuple(dict.fromkeys(code.text for code in found))[:MOST_CODES]


class CodeReader:
    """Reads some of the live pictures, every other one turned, and says of the rest what it has read last."""

    def __init__(self) -> None:
        self._read_s = float("-inf")
        self._codes: tuple[str, ...] = ()
        self._turned = False

    def read(self, rgb: Rgb, taken_s: float) -> tuple[str, ...]:
        """Return the codes in a picture that was taken at `taken_s` (monotonic seconds), or in the last one read."""
        if taken_s - self._read_s >= EVERY_S:
            self._codes, self._read_s = read_codes(rgb, turned=self._turned), taken_s
            self._turned = not self._turned
        return self._codes


def _turned(grey: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    """Return the picture turned by 45 degrees about its middle; what leaves the square about its long side is lost."""
    height, width = grey.shape
    side = max(height, width)
    turn = np.asarray(cv2.getRotationMatrix2D((width / 2, height / 2), 45.0, 1.0), dtype=np.float64)
    turn[:, 2] += ((side - width) / 2, (side - height) / 2)
    return np.asarray(cv2.warpAffine(grey, turn, (side, side), borderValue=(255,)), dtype=np.uint8)
