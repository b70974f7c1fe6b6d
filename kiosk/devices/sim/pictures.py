"""The pictures of the simulated sitter: which one fits a pose, and where it lies in the camera's frame.

A folder of pictures holds `truth.json`, one object per picture name: `file`, `size`, `yaw_deg`, `pitch_deg`,
`expression`, and two numbers that undo how the picture was framed when it was made: `anchor_px`, where a fixed point of
the seat lies, and `zoom`, how many of its pixels make one pixel of a full-size still at scale 1.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from pathlib import Path

from kiosk.core.base.geometry import Point, Size
from kiosk.devices.sim.scenario import Pose
from kiosk.errors import SettingsRefused

STILL_PX = Size(1600, 2000)
LIVE_PX = Size(640, 800)
HEAD_PLACE = Point(0.5, 0.45)
_EXPRESSION_COST = 1.5


@dataclass(frozen=True, slots=True)
class GridPicture:
    """One picture of the grid."""

    file: Path
    size_px: Size
    yaw_deg: float
    pitch_deg: float
    expression: str
    anchor_px: Point
    zoom: float


@dataclass(frozen=True, slots=True)
class Similarity:
    """x' = a x - b y + c, y' = b x + a y + d, in a frame whose origin is the corner of the corner pixel."""

    a: float
    b: float
    c: float
    d: float

    @property
    def scale(self) -> float:
        """The magnification."""
        return math.hypot(self.a, self.b)

    def apply(self, point: Point) -> Point:
        """Return where a point of the picture lies in the frame."""
        return Point(self.a * point.x - self.b * point.y + self.c, self.b * point.x + self.a * point.y + self.d)


def load_pictures(folder: Path) -> tuple[GridPicture, ...]:
    """Read the list of pictures.

    Raises
    ------
    SettingsRefused
        The folder holds no list, or a broken one.
    """
    truth = folder / "truth.json"
    try:
        return tuple(
            GridPicture(
                file=folder / facts["file"],
                size_px=Size(*facts["size"]),
                yaw_deg=facts["yaw_deg"],
                pitch_deg=facts["pitch_deg"],
                expression=facts["expression"],
                anchor_px=Point(*facts["anchor_px"]),
                zoom=facts["zoom"],
            )
            for facts in json.loads(truth.read_text()).values()
        )
    except OSError as error:
        raise SettingsRefused(path=truth, where="pictures of the sitter", detail=error.strerror) from error
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise SettingsRefused(path=truth, where="pictures of the sitter", detail=f"{error}") from error


def expression_of(pose: Pose) -> str:
    """Return the expression a picture must have; shut eyes hide the mouth's."""
    if not pose.eyes_open:
        return "eyes_closed"
    return {"closed": "neutral", "open": "mouth_open", "smile": "smile_teeth"}[pose.mouth]


def nearest(pictures: tuple[GridPicture, ...], pose: Pose) -> GridPicture:
    """Return the picture nearest to a pose.

    A wrong expression counts like a turn of about 6 degrees, because only the frontal pictures have expressions: who
    is turned further than that shows a neutral face.
    """
    wanted = expression_of(pose)

    def distance(picture: GridPicture) -> float:
        turn = math.hypot((picture.yaw_deg - pose.yaw_deg) / 5, (picture.pitch_deg - pose.pitch_deg) / 4)
        return turn + _EXPRESSION_COST * (picture.expression != wanted)

    return min(pictures, key=distance)


def placement(picture: GridPicture, pose: Pose, frame_px: Size) -> Similarity:
    """Return the map from the picture to the camera's frame: shift, scale and roll about the head in one step."""
    magnification = pose.scale * frame_px.width / STILL_PX.width / picture.zoom
    roll = math.radians(pose.roll_deg)
    a, b = magnification * math.cos(roll), magnification * math.sin(roll)
    turned = Similarity(a, b, 0.0, 0.0).apply(picture.anchor_px)
    place = Point((HEAD_PLACE.x + pose.x) * frame_px.width, (HEAD_PLACE.y + pose.y) * frame_px.height)
    return Similarity(a, b, place.x - turned.x, place.y - turned.y)
