"""Results of vision: the head's points and named measurements, each with its uncertainty.

The points follow published definitions. The crown is the top of the head as if there were no hair (ICAO Doc 9303
portrait guidelines as quoted); the hair top is the highest point of hair or head covering; the chin (menton) is the
lowest point of the chin's outline; an eye centre is the midpoint between the inner and the outer corner of the eye, so
that gaze does not move it (ISO/IEC 39794-5, from memory). `right_eye` is the sitter's right eye.

Angles are signed as the camera sees them: yaw > 0 turns the nose to the right of the unmirrored picture (the sitter's
left), pitch > 0 lifts the nose, roll > 0 leans the crown to the right of the picture.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.base.geometry import Point

HeadTop = Literal["crown", "hair"]


@dataclass(frozen=True, slots=True)
class Measurement:
    """One named value with its standard uncertainty.

    Attributes
    ----------
    name
        The ISO/IEC 29794-5 quality component in snake case, where one exists.
    value
        The value, or None where it could not be measured.
    unit
        One of deg, ratio, fraction, mm, px, dpi, count, dE, L*.
    uncertainty
        Standard uncertainty (one standard deviation) in the same unit.
    """

    name: str
    value: float | None
    unit: str
    uncertainty: float = 0.0


@dataclass(frozen=True, slots=True)
class HeadPoints:
    """The points in terms of which documents are specified, with standard deviations; all in pixels of the picture."""

    crown: Point
    hair_top: Point
    chin: Point
    right_eye: Point
    left_eye: Point
    crown_sd_px: float = 0.0
    hair_top_sd_px: float = 0.0
    chin_sd_px: float = 0.0
    eye_sd_px: float = 0.0

    @property
    def eye_centre(self) -> Point:
        """The middle of the eye line."""
        return self.right_eye.midpoint(self.left_eye)

    @property
    def inter_eye_px(self) -> float:
        """The distance between the eye centres, in pixels."""
        return self.right_eye.distance(self.left_eye)

    def top(self, of: HeadTop) -> Point:
        """Return the crown or the hair top, depending on which one the document measures to."""
        return self.crown if of == "crown" else self.hair_top

    def head_height_px(self, of: HeadTop = "crown") -> float:
        """Return the distance from chin to the top of the head."""
        return self.chin.distance(self.top(of))

    def head_height_sd_px(self, of: HeadTop = "crown") -> float:
        """Return the standard uncertainty of the head height."""
        top_sd = self.crown_sd_px if of == "crown" else self.hair_top_sd_px
        return math.hypot(top_sd, self.chin_sd_px)

    def scaled(self, factor: float) -> HeadPoints:
        """Return the points in a picture resized by `factor`."""
        return self.moved(lambda point: point.scaled(factor), factor)

    def moved(self, to: Callable[[Point], Point], growth: float) -> HeadPoints:
        """Return the points mapped by `to`, with their uncertainties multiplied by its scale factor `growth`."""
        return HeadPoints(
            crown=to(self.crown),
            hair_top=to(self.hair_top),
            chin=to(self.chin),
            right_eye=to(self.right_eye),
            left_eye=to(self.left_eye),
            crown_sd_px=self.crown_sd_px * growth,
            hair_top_sd_px=self.hair_top_sd_px * growth,
            chin_sd_px=self.chin_sd_px * growth,
            eye_sd_px=self.eye_sd_px * growth,
        )


@dataclass(frozen=True, slots=True)
class Observation:
    """Everything measured in one picture, live or still.

    Attributes
    ----------
    width_px, height_px
        Size of the picture.
    faces
        The number of faces found.
    points
        The head's points, or None unless exactly one face was found.
    measurements
        Measurements by name; those missing are not taken in this kind of picture.
    """

    width_px: int
    height_px: int
    faces: int
    points: HeadPoints | None = None
    measurements: Mapping[str, Measurement] = field(default_factory=dict)
