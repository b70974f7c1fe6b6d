"""The person mask: which part of a picture is the sitter, hair and clothes included."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.geometry import Rect
from kiosk.vision.models.graphs import Graph
from kiosk.vision.pictures.arrays import Rgb, cut, resized

MASK_PX = 256
"""Side of the network's input and output."""


@dataclass(frozen=True, slots=True, eq=False)
class PersonMask:
    """Confidence that a place shows the person.

    Attributes
    ----------
    values
        (n, n) float32, 0 background to 1 person; n is 256 as the network gives it, 512 where a backdrop was keyed.
    box_px
        The part of the picture they cover; it may reach beyond the picture's edges.
    """

    values: NDArray[np.float32]
    box_px: Rect

    @property
    def px_per_cell(self) -> tuple[float, float]:
        """Width and height of a cell in px of the picture."""
        return self.box_px.width / self.values.shape[1], self.box_px.height / self.values.shape[0]

    def at(self, places_px: NDArray[np.float64]) -> NDArray[np.float32]:
        """Return the confidence at places (h, w, 2) of the picture, interpolated; 0 outside the box."""
        per_x, per_y = self.px_per_cell
        x = ((places_px[..., 0] - self.box_px.x) / per_x - 0.5).astype(np.float32)
        y = ((places_px[..., 1] - self.box_px.y) / per_y - 0.5).astype(np.float32)
        found = cv2.remap(self.values, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(0,))
        return np.asarray(found, np.float32)


class PersonReader:
    """Makes person masks; keep one for the life of the program."""

    def __init__(self) -> None:
        self._graph = Graph("selfie_segmentation", "SelfieSegmentation", model_selection=0)

    def warm_up(self) -> None:
        """Make the graph before there is a picture of anybody."""
        self._graph.warm_up()

    def close(self) -> None:
        """Release the graph."""
        self._graph.close()

    def mask(self, rgb: Rgb, box_px: Rect | None = None) -> PersonMask:
        """Return the mask of a part of the picture, of all of it by default; beyond its edges they are repeated."""
        if box_px is None:
            box_px = Rect(0, 0, rgb.shape[1], rgb.shape[0])
        whole = Rect(*(float(round(v)) for v in (box_px.x, box_px.y, box_px.width, box_px.height)))
        small = resized(cut(rgb, whole), MASK_PX, MASK_PX)
        return PersonMask(np.asarray(self._graph.process(small).segmentation_mask, np.float32), whole)
