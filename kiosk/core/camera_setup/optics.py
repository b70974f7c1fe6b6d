"""What a lens shows of a sitter, how much of it is sharp, and how a near lens distorts: thin-lens geometry, in mm.

Distances are measured from the front principal plane of the lens, which in a real lens lies somewhere inside it. A plan
may neglect that; the picture on the screen shows whether the head has its size.
"""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.base.geometry import Range, Size
from kiosk.core.base.units import MM_PER_INCH

PRINT_DPI = 300.0
"""A blur smaller than a dot of a print at this resolution is not seen: 0.085 mm, the acuity of an eye at 300 mm (from
memory)."""

NOSE_MM, EARS_MM = 50.0, 110.0
"""How far the tip of the nose lies before the eyes, and how far the ears' rear edge behind (from memory; the whole head
is 200 mm long, ANSUR II)."""


@dataclass(frozen=True, slots=True)
class Camera:
    """A body as it is mounted: the part of the sensor that makes an upright still, and the still's pixels."""

    sensor_mm: Size
    still_px: Size


@dataclass(frozen=True, slots=True)
class Lens:
    """A focal length, and the f-number to which it is stopped down."""

    focal_mm: float
    f_number: float


def upright_camera(sensor_mm: Size, still_px: Size) -> Camera:
    """Return a body turned as its still is, with what the still's aspect leaves of the sensor."""
    long, short = max(sensor_mm.width, sensor_mm.height), min(sensor_mm.width, sensor_mm.height)
    across, up = (short, long) if still_px.height >= still_px.width else (long, short)
    scale = min(across / still_px.width, up / still_px.height)
    return Camera(Size(scale * still_px.width, scale * still_px.height), still_px)


def field_mm(sensor_mm: float, focal_mm: float, distance_mm: float) -> float:
    """Return how much a lens shows along one side of the sensor: s (d - f) / f."""
    return sensor_mm * (distance_mm - focal_mm) / focal_mm


def distance_mm(sensor_mm: float, focal_mm: float, field: float) -> float:
    """Return the distance at which a lens shows a length along one side of the sensor: f (1 + F / s)."""
    return focal_mm * (1 + field / sensor_mm)


def focal_length_mm(sensor_mm: float, field: float, distance: float) -> float:
    """Return the focal length that shows a length at a distance: s d / (F + s)."""
    return sensor_mm * distance / (field + sensor_mm)


def hyperfocal_mm(lens: Lens, blur_mm: float) -> float:
    """Return the distance from half of which on everything is sharp: f² / (N c) + f (Kingslake, from memory)."""
    return lens.focal_mm**2 / (lens.f_number * blur_mm) + lens.focal_mm


def sharp_mm(lens: Lens, distance: float, blur_mm: float) -> Range:
    """Return from where to where a subject is sharp, with the lens focused at a distance; without end from some on.

    Parameters
    ----------
    lens
        Focal length and f-number.
    distance
        On which the lens is focused.
    blur_mm
        The diameter of the largest circle of confusion on the sensor.
    """
    focal, far = lens.focal_mm, hyperfocal_mm(lens, blur_mm)
    beyond = distance * (far - focal) / (far - distance) if distance < far else None
    return Range(distance * (far - focal) / (far + distance - 2 * focal), beyond)


def largest_blur_mm(frame_on_sensor_mm: float, frame_mm: float) -> float:
    """Return the circle of confusion on the sensor that is one dot of the print.

    Parameters
    ----------
    frame_on_sensor_mm, frame_mm
        The height of the document's frame, on the sensor and in print.
    """
    return MM_PER_INCH / PRINT_DPI * frame_on_sensor_mm / frame_mm


def nose_growth(distance: float) -> float:
    """Return by which fraction the tip of the nose is drawn larger than the eyes: d / (d - nose) - 1."""
    return distance / (distance - NOSE_MM) - 1
