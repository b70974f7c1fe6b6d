"""What a sheet is drawn on, a PDF page or a raster: lengths in millimetres, origin at the upper left, y down."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import Protocol

import numpy as np
import numpy.typing as npt

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.bleed import NO_EDGES, Edges
from kiosk.core.sheet.cut_marks import Segment
from kiosk.render.drawing.outline import Outline

Pixels = npt.NDArray[np.uint8]
"""A picture in sRGB, shape (height, width, 3)."""

Colour = tuple[float, float, float]
"""Red, green and blue of sRGB, 0 to 1."""

BLACK: Colour = (0.0, 0.0, 0.0)


class Canvas(Protocol):
    """A page being drawn."""

    def add_picture(self, pixels: Pixels, bleed_px: Edges = NO_EDGES) -> int:
        """Store a picture, sRGB of shape (height, width, 3) and its bleed in it, and return its number."""
        ...

    def draw_picture(self, number: int, place_mm: Rect, turned: bool = False, sides: Edges = NO_EDGES) -> None:
        """Place the trim of a stored picture; a turned one has its top to the right.

        The bleed is drawn beyond it on the sides of the page that are 1.
        """
        ...

    def draw_line(self, line: Segment, width_mm: float, colour: Colour = BLACK) -> None:
        """Draw a straight line with square ends at its end points."""
        ...

    def draw_words(self, words: Outline, x_mm: float, y_mm: float, colour: Colour = BLACK) -> None:
        """Draw a line of words with its upper left corner at (x, y)."""
        ...

    def at(self, place_mm: Rect, turned: bool = False) -> AbstractContextManager[None]:
        """Draw from the upper left corner of a place; when turned, from its lower left corner upwards."""
        ...
