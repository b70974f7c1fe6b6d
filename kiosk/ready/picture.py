"""Check one picture of the booth's camera: its size, exposure and sharpness."""

from __future__ import annotations

import cv2
import numpy as np

from kiosk.core.view.finding import Finding
from kiosk.vision.pictures.arrays import Rgb, luma

DARK_SHARE, BRIGHT_SHARE = 0.25, 0.01
"""The maximum fractions of the picture below luma 16 and above luma 250, with a light backdrop (practice)."""

MEAN_LUMA = (90.0, 200.0)
"""The permitted mean luma, 0 to 255, of a face or target in front of a light backdrop (practice)."""

SHARPNESS = 0.2
"""The minimum sharpness. Measured on the demo's sitter, 1100 px examined: 0.32 unblurred, 0.24 after a blur of 1 px,
0.14 after 2 px."""

_EXAMINED_PX = 1000
"""The long side of what is examined, in pixels."""


def still_findings(rgb: Rgb, still_px: tuple[int, int]) -> list[Finding]:
    """Check the size, exposure and sharpness of a still."""
    return [size_finding(rgb, still_px), *seated_findings(rgb)]


def seated_findings(rgb: Rgb) -> list[Finding]:
    """Check exposure and sharpness of a picture with a face or target at the sitter's place."""
    return [*_exposure(rgb), _sharpness(rgb)]


def size_finding(rgb: Rgb, still_px: tuple[int, int]) -> Finding:
    """Check the size of a still against the settings."""
    height, width = rgb.shape[:2]
    return Finding(
        "still_size",
        f"{width} x {height}",
        "px",
        (width, height) == still_px,
        f"The picture has {width} x {height} pixels; the settings say {still_px[0]} x {still_px[1]}.",
        f"Write still_px = [{width}, {height}] under [camera] if this is intended; else set the body's picture size.",
    )


def _exposure(rgb: Rgb) -> list[Finding]:
    grey = luma(rgb)
    mean = float(grey.mean())
    dark, bright = float((grey < 16).mean()), float((grey > 250).mean())
    low, high = MEAN_LUMA
    return [
        Finding(
            "mean_luma",
            round(mean, 1),
            "",
            low <= mean <= high,
            f"The picture's mean brightness is {mean:.0f} of 255; {low:g} to {high:g} are usual on a light backdrop.",
            "Make the picture " + ("brighter" if mean < low else "darker") + " by aperture, ISO or lamps.",
        ),
        Finding(
            "burnt_out",
            round(bright, 4),
            "fraction",
            bright <= BRIGHT_SHARE and dark <= DARK_SHARE,
            f"{100 * bright:.1f} % of it is burnt out and {100 * dark:.0f} % is black;"
            f" {100 * BRIGHT_SHARE:g} % and {100 * DARK_SHARE:g} % are the limits.",
            "Close the aperture by a third of a stop, or move the backdrop's lamps away.",
        ),
    ]


def _sharpness(rgb: Rgb) -> Finding:
    share = edge_share(rgb)
    return Finding(
        "sharpness",
        round(share, 3),
        "ratio",
        share >= SHARPNESS,
        f"The middle of the picture has a sharpness of {share:.2f}; the minimum is {SHARPNESS:g}.",
        "Put a face or a printed page at the sitter's place, focus on it, and clean the lens.",
    )


def edge_share(rgb: Rgb) -> float:
    """Return the fraction of edge contrast that a further blur of 2 px removes from the middle half of the picture.

    This is a re-blur ratio (Crete et al. 2007, from memory). The middle half is first reduced to 1000 px on its long
    side, so that the ratio does not depend on the camera's resolution.
    """
    height, width = rgb.shape[:2]
    middle = luma(rgb[height // 4 : -(height // 4) or None, width // 4 : -(width // 4) or None]).astype(np.float32)
    factor = _EXAMINED_PX / max(middle.shape)
    if factor < 1:
        middle = np.asarray(cv2.resize(middle, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA))
    grey = cv2.GaussianBlur(middle, (0, 0), 1.0)
    blurred = cv2.GaussianBlur(grey, (13, 13), 2.0)
    before, after = (float(np.abs(np.diff(image, axis=0)).std()) for image in (grey, blurred))
    return 1 - after / before if before > 0 else 0.0
