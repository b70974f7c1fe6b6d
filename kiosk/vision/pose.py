"""Which way the head is turned: yaw, pitch and roll.

Angles are those of the head against the line of sight to it, because that is what a picture shows: a sitter beside the
optical axis who looks into the lens reads zero. They come from the three-dimensional mesh, not from the perspective of
its projection, so no focal length is needed.
"""

from __future__ import annotations

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Shape

YAW_SD_DEG, PITCH_SD_DEG, ROLL_SD_DEG = 0.6, 2.3, 0.5


def measure_yaw(shape: Shape) -> Measurement:
    """Return the yaw in degrees, about -45 to 45, positive with the nose to the right of the unmirrored picture.

    ISO/IEC 19794-5:2011, 7.2.2 (quoted) limits it to 5 degrees either way.
    """
    return Measurement("yaw", shape.raw_deg[0] + shape.told["yaw"], "deg", YAW_SD_DEG)


def measure_pitch(shape: Shape) -> Measurement:
    """Return the pitch in degrees, about -30 to 30, positive with the nose up.

    ISO/IEC 19794-5:2011, 7.2.2 (quoted) limits it to 5 degrees either way. Zero is the rest pose of the heads the fit
    was made on. A picture alone cannot tell a receding chin or a short nose from a nod, hence the larger uncertainty.
    """
    return Measurement("pitch", shape.raw_deg[1] + shape.told["pitch"], "deg", PITCH_SD_DEG)


def measure_roll(shape: Shape) -> Measurement:
    """Return the roll in degrees, -180 to 180, positive with the crown leaning to the right of the picture.

    ISO/IEC 19794-5:2011, 7.2.2 (quoted) limits it to 8 degrees either way and recommends 5.
    """
    return Measurement("roll", shape.raw_deg[2] + shape.told["roll"], "deg", ROLL_SD_DEG)
