"""What a simulated sitter's pose looks like to the booth, without camera and vision, for the benches.

What is seen is the true pose with the live view's uncertainty on it, once per sitter as a constant error and once per
frame as noise.
"""

from __future__ import annotations

import random
from collections.abc import Collection
from dataclasses import dataclass

from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import HeadPoints, Measurement, Observation
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import word_of
from kiosk.core.judging.framing import Framing
from kiosk.devices.sim.scenario import Pose
from kiosk.vision.face.likely_pitch import PITCH_READING_SD_DEG, likely_pitch_deg
from kiosk.vision.measures.roll import ROLL_SD_DEG
from kiosk.vision.measures.yaw import YAW_SD_DEG

FRAME_NOISE = 0.2
"""Noise from frame to frame, as a share of the standard uncertainty: what is left is constant for a person."""


@dataclass(frozen=True)
class Seeing:
    """The vision's constant error for one person."""

    errors: dict[str, float]
    chance: random.Random
    document: Document
    where: Framing

    @classmethod
    def of(cls, chance: random.Random, document: Document, where: Framing) -> Seeing:
        """Draw a person's errors."""
        sds = {"yaw": YAW_SD_DEG, "pitch": PITCH_READING_SD_DEG, "roll": ROLL_SD_DEG}
        return cls({name: chance.gauss(0.0, sd) for name, sd in sds.items()}, chance, document, where)

    def look(self, pose: Pose | None) -> Observation:
        """Return what is seen of a pose."""
        if pose is None:
            return Observation(640, 800, 0)
        height = self.where.head.middle * pose.scale * 800
        eye = Point((self.where.eye_x.middle + pose.x) * 640, (self.where.eye_y.middle + pose.y) * 800)
        points = HeadPoints(
            crown=Point(eye.x, eye.y - height * 0.485),
            hair_top=Point(eye.x, eye.y - height * 0.52),
            chin=Point(eye.x, eye.y + height * 0.515),
            right_eye=Point(eye.x - height * 0.135, eye.y),
            left_eye=Point(eye.x + height * 0.135, eye.y),
        )
        pitch_deg, pitch_sd_deg = likely_pitch_deg(pose.pitch_deg + self._error("pitch", PITCH_READING_SD_DEG))
        true = {
            "yaw": (pose.yaw_deg, YAW_SD_DEG),
            "roll": (pose.roll_deg, ROLL_SD_DEG),
            "eyes_open": (0.35 if pose.eyes_open else 0.05, 0.03),
            "mouth_closed": (0.08 if pose.mouth == "open" else 0.0, 0.0),
            "expression_neutrality": (0.1 if pose.mouth == "smile" else 1.0, 0.1),
        }
        seen = {
            name: Measurement(name, value + self._error(name, sd), self.document.capture[name].unit, sd)
            for name, (value, sd) in true.items()
        }
        seen["pitch"] = Measurement("pitch", pitch_deg, "deg", pitch_sd_deg)
        return Observation(640, 800, 1, points, seen)

    def _error(self, name: str, sd: float) -> float:
        return self.errors.get(name, 0.0) + self.chance.gauss(0.0, sd * FRAME_NOISE)


def arrival(chance: random.Random) -> Pose:
    """Return how a person sits down unasked: invented spreads, wide enough that half need several corrections."""
    return Pose(
        x=clamp(chance.gauss(0.0, 0.06), 0.3),
        y=clamp(chance.gauss(0.0, 0.05), 0.2),
        scale=1.0 + clamp(chance.gauss(0.0, 0.15), 0.4),
        yaw_deg=clamp(chance.gauss(0.0, 8.0), 28.0),
        pitch_deg=clamp(chance.gauss(0.0, 6.0), 18.0),
        roll_deg=clamp(chance.gauss(0.0, 4.0), 20.0),
        eyes_open=chance.random() < 0.9,
        mouth=chance.choice(("closed", "closed", "closed", "open", "smile")),
    )


def clamp(value: float, most: float) -> float:
    """Return the value within plus and minus `most`."""
    return max(-most, min(most, value))


def conforms(still: Observation, document: Document, names: Collection[str]) -> bool:
    """Tell whether nothing of these names in the still fails or is referred."""
    seen = [still.measurements[name] for name in names if name in still.measurements]
    return all(word_of(one, document.capture[one.name]) == "pass" for one in seen)
