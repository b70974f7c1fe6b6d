"""A drawing over a changing picture: it is drawn once, and copied only where it is not transparent."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import skia
from numpy.typing import NDArray

from kiosk.screens.toolkit.scene import Glass, ScenePicture


@dataclass(frozen=True, slots=True, eq=False)
class Overlay:
    """The pixels of a drawing that are not transparent.

    Attributes
    ----------
    solid, colours
        (M,) indices of the opaque pixels, row by row, and the BGRA of each as one number.
    mixed
        (N,) indices of the translucent pixels.
    over
        (N, 4) BGRA of these, multiplied by the opacity, which skia leaves apart.
    through
        (N, 4) weights of the picture below, 0 to 256.
    """

    solid: NDArray[np.intp]
    colours: NDArray[np.uint32]
    mixed: NDArray[np.intp]
    over: NDArray[np.uint16]
    through: NDArray[np.uint16]

    @classmethod
    def drawn(cls, glass: Glass, draw: Callable[[skia.Canvas], None]) -> Overlay:
        """Return what `draw` draws on an empty glass."""
        draw(glass.canvas)
        pixels = glass.pixels.reshape(-1, 4)
        solid = np.flatnonzero(pixels[:, 3] == 255)
        mixed = np.flatnonzero((pixels[:, 3] > 0) & (pixels[:, 3] < 255))
        opacity = np.repeat(pixels[mixed, 3:], 4, axis=1).astype(np.uint16)
        colour = pixels[mixed].astype(np.uint16)
        colour[:, 3] = 255
        over = (colour * opacity + np.uint16(127)) // np.uint16(255)
        through = np.uint16(255) - opacity
        return cls(solid, pixels[solid].view(np.uint32).ravel(), mixed, over, through + (through >> 7))

    def put_on(self, pixels: ScenePicture, right_px: int = 0, down_px: int = 0) -> None:
        """Blend the overlay, moved by whole pixels, into a contiguous BGRA picture of the glass's size."""
        words = pixels.reshape(-1).view(np.uint32)
        moved = down_px * pixels.shape[1] + right_px
        solid, mixed = (self.solid + moved, self.mixed + moved) if moved else (self.solid, self.mixed)
        words[solid] = self.colours
        shown = words[mixed].view(np.uint8).reshape(-1, 4) * self.through
        shown >>= 8
        shown += self.over
        words[mixed] = shown.astype(np.uint8).view(np.uint32).ravel()
