"""A page as a raster picture, for laboratories that do not accept PDF.

It implements the same `Canvas` as `kiosk.render.drawing.pdf`.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import skia

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.base.units import px_from_mm
from kiosk.core.sheet.bleed import NO_EDGES, Edges
from kiosk.core.sheet.cut_marks import Segment
from kiosk.render.drawing.canvas import BLACK, Colour, Pixels
from kiosk.render.drawing.outline import BASELINE_EM, Outline
from kiosk.render.drawing.text import SetWords


class RasterPage:
    """A page being drawn in pixels; pictures are copied pixel for pixel, at positions rounded to whole pixels."""

    def __init__(self, size_mm: Size, dpi: float) -> None:
        self._px_per_mm = px_from_mm(1.0, dpi)
        width_px, height_px = (round(px_from_mm(side, dpi)) for side in (size_mm.width, size_mm.height))
        self._rgba = np.full((height_px, width_px, 4), 255, np.uint8)
        self._surface = skia.Surface(self._rgba)
        self._canvas = self._surface.getCanvas()
        self._canvas.scale(self._px_per_mm, self._px_per_mm)
        self._pictures: list[tuple[Pixels, Edges]] = []

    def add_picture(self, pixels: Pixels, bleed_px: Edges = NO_EDGES) -> int:
        """Store an sRGB picture of shape (height, width, 3), bleed included, and return its number."""
        self._pictures.append((pixels, bleed_px))
        return len(self._pictures) - 1

    def draw_picture(self, number: int, place_mm: Rect, turned: bool = False, sides: Edges = NO_EDGES) -> None:
        """Copy a stored picture pixel for pixel, its trim at a place; the top of a turned one points to the right.

        The bleed is drawn on the sides that are 1.

        Raises
        ------
        ValueError
            The picture does not have exactly the pixels of its place at this resolution and would have to be scaled
            again.
        """
        pixels, bleed = self._pictures[number]
        if turned:
            pixels, bleed = np.rot90(pixels, -1), bleed.turned()
        width, height = pixels.shape[1] - bleed.left - bleed.right, pixels.shape[0] - bleed.top - bleed.bottom
        if (width, height) != tuple(round(side * self._px_per_mm) for side in (place_mm.width, place_mm.height)):
            raise ValueError(f"a picture of {width} x {height} px does not fill its place pixel for pixel")
        x, y = round(place_mm.x * self._px_per_mm), round(place_mm.y * self._px_per_mm)
        left, top, right, bottom = (reach * is_open for reach, is_open in zip(bleed, sides, strict=True))
        shown = pixels[bleed.top - top : bleed.top + height + bottom, bleed.left - left : bleed.left + width + right]
        self._rgba[y - top : y + height + bottom, x - left : x + width + right, :3] = shown

    def draw_line(self, line: Segment, width_mm: float, colour: Colour = BLACK) -> None:
        """Draw a straight line with butt ends."""
        paint = skia.Paint(Color4f=_rgba(colour), AntiAlias=True, Style=skia.Paint.kStroke_Style, StrokeWidth=width_mm)
        self._canvas.drawLine(line.x0_mm, line.y0_mm, line.x1_mm, line.y1_mm, paint)

    def draw_words(self, words: Outline, x_mm: float, y_mm: float, colour: Colour = BLACK) -> None:
        """Draw a line of text with its upper left corner at (x, y)."""
        self._fill(words.path, x_mm, y_mm + BASELINE_EM * words.em_mm, colour)

    def draw_set_words(self, words: SetWords, x_mm: float, y_mm: float, colour: Colour = BLACK) -> None:
        """Draw a text that was fitted into a box with its upper left corner at (x, y)."""
        self._fill(words.path(), x_mm, y_mm, colour)

    def _fill(self, path: str, x_mm: float, y_mm: float, colour: Colour) -> None:
        self._canvas.save()
        self._canvas.translate(x_mm, y_mm)
        self._canvas.drawPath(_path(path), skia.Paint(Color4f=_rgba(colour), AntiAlias=True))
        self._canvas.restore()

    @contextmanager
    def at(self, place_mm: Rect, turned: bool = False) -> Iterator[None]:
        """Move the origin to a place's upper left corner; if turned, to its lower left corner with x pointing up."""
        self._canvas.save()
        self._canvas.translate(place_mm.x, place_mm.bottom if turned else place_mm.y)
        if turned:
            self._canvas.rotate(-90)
        yield
        self._canvas.restore()

    def finish(self) -> Pixels:
        """Return the page as an sRGB picture of shape (height, width, 3)."""
        return np.ascontiguousarray(self._rgba[:, :, :3])


def _path(operators: str) -> skia.Path:
    path = skia.Path()
    draw = {"m": path.moveTo, "l": path.lineTo, "c": path.cubicTo, "h": path.close}
    for operation in operators.splitlines():
        *numbers, operator = operation.split()
        draw[operator](*map(float, numbers))
    return path


def _rgba(colour: Colour) -> skia.Color4f:
    return skia.Color4f(*colour, 1.0)
