"""What the eye of the machine reports: points of the head and named measurements, each with its uncertainty.

Points follow the published definitions: crown, the top of the head as if there were no hair (ICAO Doc 9303 portrait
guidelines as quoted); hair top, the highest point of the hair or covering; chin (menton), the lowest point of the
chin's outline; eye centre, the middle of the line between the inner and outer corner of an eye, so that gaze does not
move it (ISO/IEC 39794-5, from memory). `right_eye` is the sitter's right.

Signs of the angles, seen by the camera: yaw > 0 turns the nose to the right of the unmirrored picture (the sitter's
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
    """One named number.

    Attributes
    ----------
    name
        The quality component of ISO/IEC 29794-5 in snake case where one exists.
    value
        The number, or None where it could not be measured.
    unit
        Its unit: deg, ratio, fraction, mm, px, dpi, count, dE, L*.
    uncertainty
        Standard uncertainty (one standard deviation) in the same unit.
    """

    name: str
    value: float | None
    unit: str
    uncertainty: float = 0.0


@dataclass(frozen=True, slots=True)
class HeadPoints:
    """The points a document's rule is written in, in pixels of the picture, with one standard deviation each."""

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
        """The distance between the eye centres."""
        return self.right_eye.distance(self.left_eye)

    def top(self, of: HeadTop) -> Point:
        """Return the crown or the hair top, whichever the document measures to."""
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
        """Return the points where `to` takes each, in a picture where the head is `growth` times as large."""
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
    """All that was seen in one picture, live or still.

    Attributes
    ----------
    width_px, height_px
        Size of the picture.
    faces
        How many faces were found.
    points
        The head's points, or None where no single face was found.
    measurements
        By name; a name that is missing was not measured in this kind of picture.
    """

    width_px: int
    height_px: int
    faces: int
    points: HeadPoints | None = None
    measurements: Mapping[str, Measurement] = field(default_factory=dict)
