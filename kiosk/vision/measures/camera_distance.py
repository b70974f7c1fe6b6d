"""Measure the distance from camera to sitter, for pictures that record the lens's focal length."""

from __future__ import annotations

from kiosk.core.base.anthropometry import INTER_EYE_MM
from kiosk.core.base.measurement import Measurement

DISTANCE_SD = 0.1
"""Relative root mean square error over 19 rendered sitters, whose eyes are closer together than most (9 % too
far on the average). The distance between the pupils of adults spreads by 5.3 to 5.9 % (ANSUR II)."""


def measure_camera_distance(inter_eye_px: float, focal_length_px: float | None) -> Measurement:
    """Return the distance from the lens to the eyes in millimetres, by the pinhole model: f times size over image size.

    A near camera enlarges the nose relative to the ears (ICAO Portrait Quality, from memory: 1 to 2.5 m, in a kiosk
    from 0.7 m). The face's own proportions cannot show it, because people differ by more. The eyes are assumed to be an
    adult's 63 mm apart, so that children seem farther away.

    Parameters
    ----------
    inter_eye_px
        Distance between the eye centres, corrected for yaw, in px of the still.
    focal_length_px
        The lens's focal length in px of the same still, or None if unknown.
    """
    if focal_length_px is None or inter_eye_px <= 0:
        return Measurement("camera_distance", None, "mm")
    distance_mm = focal_length_px * INTER_EYE_MM / inter_eye_px
    return Measurement("camera_distance", distance_mm, "mm", DISTANCE_SD * distance_mm)
