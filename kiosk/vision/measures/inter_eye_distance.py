"""Measure the distance between the eyes in pixels."""

from __future__ import annotations

import math

import numpy as np

from kiosk.core.base.measurement import HeadPoints, Measurement

INTER_EYE_SD, INTER_EYE_HIDDEN_SD = 0.02, 0.08
"""Relative; both eye centres of 51 photographed and of 50 rendered people, and for eyes hidden altogether: 5 % off
behind glare over half of the lens."""


def measure_inter_eye_distance(points: HeadPoints, yaw_deg: float, hidden: float = 0.0) -> Measurement:
    """Return the distance between the eye centres in px, corrected for yaw.

    Component InterEyeDistance of ISO/IEC 29794-5 (from memory: divided by the cosine of the yaw). At least 90 px by
    ISO/IEC 19794-5:2011 (quoted).

    Parameters
    ----------
    points
        The head's points in px of the picture.
    yaw_deg
        The head's yaw, from `measure_yaw`.
    hidden
        The hidden fraction of the eyes, from `eye_cover.hidden_share`.
    """
    value = points.inter_eye_px / max(float(np.cos(np.radians(yaw_deg))), 0.5)
    return Measurement(
        "inter_eye_distance", value, "px", math.hypot(INTER_EYE_SD, INTER_EYE_HIDDEN_SD * hidden) * value
    )
