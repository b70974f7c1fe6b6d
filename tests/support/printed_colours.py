"""A printer's colours made up: what its dyes do to a page, and what a camera sees of that beside a card."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from kiosk.core.camera_setup.grey_card import GREY
from kiosk.core.print_colour.chart import ColourChart
from kiosk.render.sheet.colour_page import colour_pdf
from kiosk.vision.pictures.arrays import linear_light
from kiosk.vision.targets.colour_page import PAPER_Y

Floats = npt.NDArray[np.float32]
TABLE, BORDER_MM, PX_PER_MM = 0.05, 25.0, 8.0


def page_pixels(chart: ColourChart, folder: Path, dpi: int = 300) -> npt.NDArray[np.uint8]:
    """Return the page as poppler draws it: sRGB."""
    (folder / "page.pdf").write_bytes(colour_pdf(chart, ["photo, 4x6in", "page 3"]))
    subprocess.run(["pdftoppm", "-r", str(dpi), "-singlefile", folder / "page.pdf", folder / "page"], check=True)
    return cv2.cvtColor(cv2.imread(str(folder / "page.ppm")), cv2.COLOR_BGR2RGB)


def inked(pixels: npt.NDArray[np.uint8], tone: Callable[[Floats], Floats], black: float = 0.004) -> Floats:
    """Return the light of a page against its paper: sRGB's through a printer's tones, above its black."""
    return np.asarray(black + (1 - black) * tone(linear_light(pixels)), np.float32)


def pictured(
    light: Floats,
    page_mm: tuple[float, float],
    *,
    power: float = 1.0,
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0),
    falloff: float = 0.0,
    slant: bool = False,
    card: tuple[float, float, float] = (GREY, GREY, GREY),
    exposure: float = 0.75,
    turns: int = 0,
    seed: int = 5,
) -> npt.NDArray[np.uint8]:
    """Return a picture of a page that lies on a grey card which shows at its right edge.

    Parameters
    ----------
    light
        The page against its paper, of shape (height, width, 3).
    power
        The camera's tone curve.
    tint, falloff
        The colour of the lamps, and how much less light there is at the lower right.
    slant, turns
        Whether it is seen from the side, and by how many quarters it is turned.
    """
    width_mm, height_mm = page_mm
    wide, high = (round((side + 2 * BORDER_MM) * PX_PER_MM) for side in page_mm)
    scene = np.full((high, wide, 3), TABLE, np.float32)
    at = round(BORDER_MM * PX_PER_MM)
    scene[at // 2 : high - at // 2, at * 2 : wide - at // 8] = np.array(card)
    size = (round(width_mm * PX_PER_MM), round(height_mm * PX_PER_MM))
    scene[at : at + size[1], at : at + size[0]] = PAPER_Y * cv2.resize(light, size, interpolation=cv2.INTER_AREA)
    away = np.add.outer(np.linspace(0, 0.5, high), np.linspace(0, 0.5, wide))
    lit = scene * np.array(tint, np.float32) * (1 - falloff * away)[..., None].astype(np.float32)
    seen = np.clip(exposure / PAPER_Y * lit, 0, 1) ** power
    if slant:
        corners = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], np.float32)
        moved = np.array([[40, 27], [wide - 60, 0], [wide - 13, high - 40], [0, high - 7]], np.float32)
        seen = cv2.warpPerspective(seen, cv2.getPerspectiveTransform(corners, moved), (wide, high))
    seen = cv2.GaussianBlur(seen, (0, 0), 1.0)
    code = np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055)
    noisy = 255 * code + np.random.default_rng(seed).normal(0, 2.0, code.shape).astype(np.float32)
    return np.ascontiguousarray(np.rot90(np.clip(np.round(noisy), 0, 255).astype(np.uint8), turns))
