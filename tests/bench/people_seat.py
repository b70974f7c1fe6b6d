"""A photograph on the sitter's chair: what the simulated camera sees, moved, scaled, rolled and dimmed as they obey.

A photograph cannot turn its head, lift its chin or blink: told to, a sitter who smiles shows the neutral photograph,
which is the only other pose there is. What lies beyond its edges goes on as its edges do.
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Mapping
from pathlib import Path

import cv2
import simplejpeg

from kiosk.core.base.geometry import Size
from kiosk.core.base.measurement import HeadPoints
from kiosk.core.document.document import Document
from kiosk.core.judging.framing import Framing, framing
from kiosk.core.session.instructions import Instruction
from kiosk.devices.sim.camera import SimulatedDriver
from kiosk.devices.sim.frame import draw
from kiosk.devices.sim.pictures import HEAD_PLACE, LIVE_PX, STILL_PX, nearest
from kiosk.devices.sim.scenario import Pose, Scenario, Temperament
from kiosk.system.clock import Clock
from kiosk.vision.pictures.photo_file import read_photo

NEUTRAL, SMILE = "neutral", "smile_teeth"
"""Expressions of the two photographs, as the simulated sitter's pictures name them."""
DIMMED = 0.455
"""Of each code value, before the sitter has turned to the light: two and a half stops at a gamma of 2.2."""
BRIGHTENS_S = 1.5
"""From hearing of the light to sitting in it: a sitter's delay and one movement."""
FRAME_S = 1 / 15
"""From one live picture to the next."""
LEAST_STILL_PX = 800
"""Height of the smallest still: below it a frame of 45 mm at 300 dpi no longer fits."""
TURNS = frozenset(
    (
        Instruction.TURN_LEFT,
        Instruction.TURN_RIGHT,
        Instruction.CHIN_UP,
        Instruction.CHIN_DOWN,
    )
)
CALM = Temperament(blink_every_s=0.0)
"""As people follow, without blinks."""


def still_size(document: Document, head_px: float) -> Size:
    """Return the size of the stills in which a head has about as many pixels as in its own photograph."""
    share = framing(document, int(STILL_PX.width), int(STILL_PX.height)).head.middle
    height = min(max(round(head_px / share), LEAST_STILL_PX), int(STILL_PX.height))
    return Size(round(height * STILL_PX.width / STILL_PX.height), height)


def enlargement(where: Framing, still_px: Size, head_px: float) -> float:
    """Return how many times larger a head is in the still than in its photograph, where it belongs."""
    return where.head.middle * still_px.height / head_px


def put_on_chair(folder: Path, faces: Mapping[str, tuple[Path, HeadPoints]], where: Framing) -> None:
    """Write the list of a sitter's pictures: by expression, the photograph and where the head is in it.

    At scale 1 the head is as high as the outline, and the eyes are where it wants them.
    """
    entries = {}
    for expression, (file, points) in faces.items():
        height, width = read_photo(file).rgb.shape[:2]
        zoom = points.head_height_px() / (where.head.middle * STILL_PX.height)
        eyes = points.eye_centre
        right = (HEAD_PLACE.x - where.eye_x.middle) * STILL_PX.width * zoom
        below = (HEAD_PLACE.y - where.eye_y.middle) * STILL_PX.height * zoom
        entries[expression] = {
            "file": str(file.resolve()),
            "size": [width, height],
            "yaw_deg": 0,
            "pitch_deg": 0,
            "expression": expression,
            "anchor_px": [eyes.x + right, eyes.y + below],
            "zoom": zoom,
        }
    (folder / "truth.json").write_text(json.dumps(entries))


def arrival(person: str, *, smiling: bool) -> Scenario:
    """Return how a person sits down: to one side, too near or too far, leaning; drawn from who it is."""
    chance = random.Random(person)
    side, lean = (chance.choice((-1, 1)) for _ in range(2))
    begins = Pose(
        x=side * chance.uniform(0.06, 0.16),
        y=chance.uniform(-0.07, 0.09),
        scale=chance.choice((chance.uniform(0.7, 0.82), chance.uniform(1.25, 1.45))),
        roll_deg=lean * chance.uniform(3, 11),
        mouth="smile" if smiling else "closed",
    )
    return Scenario(seed=chance.randrange(1 << 30), arrives_s=0.0, begins=begins, temperament=CALM)


class ChairDriver(SimulatedDriver):
    """The simulated camera before a photograph, in light that is too low until the sitter has been told of it."""

    frame_interval_s = FRAME_S

    def __init__(self, pictures: Path, scenario: Scenario, clock: Clock, still_px: Size) -> None:
        super().__init__(pictures, scenario, clock)
        self._still_px = still_px
        self._lit_s = math.inf

    @property
    def is_dim(self) -> bool:
        """Whether the light is still too low."""
        return self._clock.now_s() < self._lit_s

    @property
    def is_smiling(self) -> bool:
        """Whether the smiling photograph is shown."""
        pose = self._visitor.at(self._clock.now_s())
        return pose is not None and nearest(self._pictures, pose).expression == SMILE

    def relax(self) -> None:
        """Let the sitter smile no more."""
        self._pictures = tuple(picture for picture in self._pictures if picture.expression != SMILE)

    def ask(self, wish: str, argument: str) -> None:
        """Let the sitter hear, and turn to the light."""
        super().ask(wish, Instruction.RELAX_FACE if argument in TURNS else argument)
        if argument == Instruction.EVEN_LIGHT:
            self._lit_s = min(self._lit_s, self._clock.now_s() + BRIGHTENS_S)

    def _look(self, frame_px: Size, quality: int) -> bytes:
        size = frame_px if frame_px == LIVE_PX else self._still_px
        frame = draw(self._pictures, self._visitor.at(self._clock.now_s()), size)
        if self.is_dim:
            frame = cv2.convertScaleAbs(frame, alpha=DIMMED)
        return simplejpeg.encode_jpeg(frame, quality=quality, colorspace="BGR", colorsubsampling="422")
