"""Measure the pitch of the head relative to the line of sight, like all angles (`yaw`)."""

from __future__ import annotations

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.likely_pitch import likely_pitch_deg


def measure_pitch(shape: FaceShape) -> Measurement:
    """Return the pitch in degrees, about -30 to 30, positive with the nose up.

    ISO/IEC 19794-5:2011, 7.2.2 (quoted) limits it to 5 degrees either way. Zero is the rest pose of the heads the fit
    was made on. The reading is combined with a prior on sitters, see `likely_pitch_deg`; the uncertainty is
    largest around 8 degrees, where a nod and an unusual face look the same.
    """
    value, sd = likely_pitch_deg(shape.raw_deg[1] + shape.regressed["pitch"])
    return Measurement("pitch", value, "deg", sd)
