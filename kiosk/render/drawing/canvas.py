"""The interface of a page to draw on, PDF or raster: lengths in mm, origin at the upper left, y down."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, Protocol

import numpy as np
import numpy.typing as npt

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.bleed import NO_EDGES, Edges
from kiosk.core.sheet.cut_marks import Segment
from kiosk.render.drawing.outline import Outline

if TYPE_CHECKING:
    from kiosk.render.drawing.text import SetWords

Pixels = npt.NDArray[np.uint8]
"""A picture in sRGB, shape (height, width, 3)."""

Colour = tuple[float, float, float]
"""Red, green and blue of sRGB, 0 to 1."""

BLACK: Colour = (0.0, 0.0, 0.0)


class Canvas(Protocol):
    """A page being drawn."""

    def add_picture(self, pixels: Pixels, bleed_px: Edges = NO_EDGES) -> int:
        """Store an sRGB picture of shape (height, width, 3), bleed included, and return its number."""
        ...

    def draw_picture(self, number: int, place_mm: Rect, turned: bool = False, sides: Edges = NO_EDGES) -> None:
        """Draw a stored picture with its trim at a place; the top of a turned one points to the right.

        The bleed is drawn on the sides that are 1.
        """
        ...

    def draw_line(self, line: Segment, width_mm: float, colour: Colour = BLACK) -> None:
        """Draw a straight line with butt ends."""
        ...

    def draw_words(self, words: Outline, x_mm: float, y_mm: float, colour: Colour = BLACK) -> None:
        """Draw a line of text with its upper left corner at (x, y)."""
        ...

    def draw_set_words(self, words: SetWords, x_mm: float, y_mm: float, colour: Colour = BLACK) -> None:
        """Draw a text that was fitted into a box with its upper left corner at (x, y)."""
        ...

    def at(self, place_mm: Rect, turned: bool = False) -> AbstractContextManager[None]:
        """Move the origin to a place's upper left corner; if turned, to its lower left corner with x pointing up."""
        ...
