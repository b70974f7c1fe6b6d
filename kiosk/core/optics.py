"""Where the camera stands and with which lens: pixels at print size, pixels between the eyes, and perspective.

Lengths at the sitter are in millimetres in the plane of the eyes; the thin lens, focused there (any optics text:
magnification m = f / (d - f) at an object distance d). Distances are measured from the lens.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kiosk.core.units import MM_PER_INCH

HEAD_HEIGHT_MM = 232.0
"""Crown to chin of a man: ANSUR 1988, mean, from memory; a woman's is about 218 mm, and the spread 5 %."""

INTER_EYE_MM = 63.0
"""Distance between the pupils of adults: about 63 mm, with 50 to 75 mm for the vast majority (Dodgson 2004)."""


@dataclass(frozen=True, slots=True)
class Sensor:
    """A camera's sensor, upright: the height is the long side for a portrait.

    Attributes
    ----------
    height_mm, width_mm
        Of the picture on the sensor.
    height_px, width_px
        Of the still.
    """

    height_mm: float
    width_mm: float
    height_px: int
    width_px: int


@dataclass(frozen=True, slots=True)
class Setup:
    """A camera before a sitter.

    Attributes
    ----------
    distance_mm
        From the lens to the plane of the eyes.
    focal_length_mm
        The lens's own, not an equivalent.
    """

    sensor: Sensor
    distance_mm: float
    focal_length_mm: float

    @property
    def px_per_mm(self) -> float:
        """Pixels for each millimetre in the plane of the eyes."""
        magnification = self.focal_length_mm / (self.distance_mm - self.focal_length_mm)
        return magnification * self.sensor.height_px / self.sensor.height_mm

    @property
    def view_height_mm(self) -> float:
        """How much the still shows in the plane of the eyes, top to bottom."""
        return self.sensor.height_px / self.px_per_mm

    @property
    def inter_eye_px(self) -> float:
        """Pixels between the pupils of an adult of the usual width."""
        return INTER_EYE_MM * self.px_per_mm

    def print_dpi(self, head_mm: float) -> float:
        """Return the pixels per inch that a print has on which the head is `head_mm` high, crown to chin."""
        return HEAD_HEIGHT_MM * self.px_per_mm / head_mm * MM_PER_INCH

    def head_share(self) -> float:
        """Return the height of the head, of the still's height."""
        return HEAD_HEIGHT_MM / self.view_height_mm


def focal_length_mm(sensor_mm: float, distance_mm: float, view_mm: float) -> float:
    """Return the focal length that shows `view_mm` at `distance_mm` on `sensor_mm`; the thin lens solved for f."""
    magnification = sensor_mm / view_mm
    return distance_mm * magnification / (1 + magnification)


def perspective_magnification(distance_mm: float, nearer_mm: float) -> float:
    """Return by how much a feature `nearer_mm` before the plane of the eyes is drawn larger than one in it.

    0.05 is five per cent. Central projection: an object's size goes with the inverse of its distance. `distance_mm`
    is that of the plane of the eyes.
    """
    if not 0 <= nearer_mm < distance_mm:
        raise ValueError(f"a feature {nearer_mm} mm nearer is not before a camera at {distance_mm} mm")
    return nearer_mm / (distance_mm - nearer_mm)


def shadow_drop_mm(backdrop_mm: float, lamp_elevation_deg: float) -> float:
    """Return how far below the head its shadow falls on a backdrop `backdrop_mm` behind it.

    `lamp_elevation_deg` is the height of the lamp above the horizontal, seen from the head.
    """
    return backdrop_mm * math.tan(math.radians(lamp_elevation_deg))
