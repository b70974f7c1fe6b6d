"""A booth's geometry as a value: lens, distances, lamps, backdrop and seat; `optics_room` computes one for a room.

Lengths are in millimetres. The room is as deep as the axis of the lens, with the backdrop at one end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kiosk.core.base.geometry import Range, Size
from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.camera_setup.optics import Camera, Lens

HEAD_MM = 225.0
"""Height of an adult's head from chin to crown: men 232, women 218 (ANSUR 1988, from memory)."""
HEAD_WIDTH_MM, HEAD_LENGTH_MM = 151.0, 195.0
"""Breadth and length of a head: means of men and women, ANSUR II."""
ASIDE_DEG, ABOVE_DEG = 45.0, 35.0
"""Where the front lamps stand, seen from the face: to each side of the lens's axis, and above the eyes (practice)."""
SOFT_BOX = Size(600.0, 180.0)
"""Width and depth of a diffuse front lamp; a smaller one draws harder shadows (practice)."""
BESIDE_VIEW_MM = 250.0
"""How far the backdrop's lamps and its edges are outside what the lens sees (practice)."""
LAMP_ROOM_MM = 100.0
"""Between a lamp of the backdrop and the sitter or a wall, from its middle (practice)."""
LEAN_MM = 100.0
"""How far a sitter leans forward or back (practice)."""
LENS_HIGH_MM = 1200.0
"""The lens above the floor, at the sitter's eyes: the seat is set, not the camera."""
EYES_ABOVE_SEAT = Range(698.0, 860.0)
"""Eye height of adults above the seat, from the 5th percentile of women to the 95th of men: ANSUR II."""
FIXED_SEAT_MM = 450.0
"""A chair's seat that cannot be set (from memory)."""


@dataclass(frozen=True, slots=True)
class Portrait:
    """What the document asks of the picture.

    Attributes
    ----------
    name
        The document's id.
    heads
        The head's height from chin to crown as a share of the picture's height.
    frame
        The height of the document's frame likewise.
    frame_mm
        The same height in print.
    needed_dpi
        The pixels per inch that the print needs.
    """

    name: str
    heads: Range
    frame: float
    frame_mm: float
    needed_dpi: float


@dataclass(frozen=True, slots=True)
class TooSmall:
    """A room in which no lens shows the head as the document needs it, at a distance that does not distort.

    Attributes
    ----------
    depth_mm, width_mm
        What the room would have to measure at least.
    focal_mm
        The lens that would do in a room of that depth.
    others_mm
        Other focal lengths that would do in the room as it is; nothing where only the room is to blame.
    """

    depth_mm: float
    width_mm: float
    focal_mm: float
    others_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class BoothPlan:
    """A booth's geometry.

    Attributes
    ----------
    room
        Depth along the axis of the lens, and width.
    to_eyes_mm, to_backdrop_mm
        From the lens to the eyes, and from the eyes to the backdrop.
    at_eyes, at_backdrop
        What the picture shows there, across and upright.
    sharp
        From where to where a subject is sharp.
    lamp_mm
        From the face to each front lamp, along the floor.
    """

    room: Size
    camera: Camera
    portrait: Portrait
    lens: Lens
    to_eyes_mm: float
    to_backdrop_mm: float
    at_eyes: Size
    at_backdrop: Size
    sharp: Range
    lamp_mm: float

    @property
    def lamp_aside_mm(self) -> float:
        """How far a front lamp stands from the axis."""
        return self.lamp_mm * math.sin(math.radians(ASIDE_DEG))

    @property
    def lamp_before_mm(self) -> float:
        """How far a front lamp stands before the eyes, along the axis."""
        return self.lamp_mm * math.cos(math.radians(ASIDE_DEG))

    @property
    def lamp_high_mm(self) -> float:
        """The height of a front lamp above the floor."""
        return LENS_HIGH_MM + self.lamp_mm * math.tan(math.radians(ABOVE_DEG))

    @property
    def backdrop_lamp_mm(self) -> float:
        """How far a lamp of the backdrop is before it and beside its middle: it aims at 45 degrees."""
        return self.at_backdrop.width / 2 + BESIDE_VIEW_MM

    @property
    def has_backdrop_lamps(self) -> bool:
        """Whether they have room between backdrop and sitter, and within the walls."""
        return self.backdrop_lamp_mm <= min(self.to_backdrop_mm, self.room.height / 2) - LAMP_ROOM_MM

    @property
    def backdrop_mm(self) -> Size:
        """The backdrop's least width and height."""
        return Size(self.at_backdrop.width + 2 * BESIDE_VIEW_MM, self.at_backdrop.height + 2 * BESIDE_VIEW_MM)

    @property
    def shadow_aside_mm(self) -> float:
        """How far the middle of the head's shadow falls beside the axis on the backdrop."""
        return self.to_backdrop_mm * math.tan(math.radians(ASIDE_DEG))

    @property
    def head_share(self) -> float:
        """The head's height as a share of the picture's."""
        return HEAD_MM / self.at_eyes.height

    @property
    def print_dpi(self) -> float:
        """The pixels per inch of the document's frame, cut out of the still."""
        frame_share = self.portrait.frame * self.head_share / self.portrait.heads.middle
        return frame_share * self.camera.still_px.height / (self.portrait.frame_mm / MM_PER_INCH)

    @property
    def seats_mm(self) -> Range:
        """The heights to which the seat must be set."""
        return Range(LENS_HIGH_MM - (EYES_ABOVE_SEAT.high or 0.0), LENS_HIGH_MM - (EYES_ABOVE_SEAT.low or 0.0))

    @property
    def lean_stops(self) -> float:
        """By how much the front lamps' light on the face grows when the sitter leans 100 mm forward."""
        return 2 * math.log2(self.lamp_mm / (self.lamp_mm - LEAN_MM * math.cos(math.radians(ASIDE_DEG))))
