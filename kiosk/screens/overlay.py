"""A drawing that lies over a picture that changes: drawn once, put on where there is something."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import skia
from numpy.typing import NDArray

from kiosk.screens.scene import Glass, Picture


@dataclass(frozen=True, slots=True, eq=False)
class Overlay:
    """The pixels of a drawing that are not clear.

    Attributes
    ----------
    places
        (N,) numbers of the pixels, row by row.
    over
        (N, 4) BGRA, multiplied by the opacity, which skia leaves apart.
    through
        (N, 4) how much of what is below shows, 0 to 256.
    """

    places: NDArray[np.intp]
    over: NDArray[np.uint16]
    through: NDArray[np.uint16]

    @classmethod
    def drawn(cls, glass: Glass, draw: Callable[[skia.Canvas], None]) -> Overlay:
        """Return what `draw` leaves on an empty glass."""
        draw(glass.canvas)
        pixels = glass.pixels.reshape(-1, 4)
        places = np.flatnonzero(pixels[:, 3])
        opacity = np.repeat(pixels[places, 3:], 4, axis=1).astype(np.uint16)
        colour = pixels[places].astype(np.uint16)
        colour[:, 3] = 255
        through = np.uint16(255) - opacity
        return cls(places, (colour * opacity + np.uint16(127)) // np.uint16(255), through + (through >> 7))

    def put_on(self, pixels: Picture) -> None:
        """Draw it over a BGRA picture of the same size as the glass, whose rows lie one after the other."""
        words = pixels.reshape(-1).view(np.uint32)
        shown = words[self.places].view(np.uint8).reshape(-1, 4) * self.through
        shown >>= 8
        shown += self.over
        words[self.places] = shown.astype(np.uint8).view(np.uint32).ravel()
