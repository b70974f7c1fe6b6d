"""The large arrow beside the head in the live picture: where to move, in the sitter's own directions in a mirror.

It comes in along its direction, glides that way and back a few times, and then rests; it never blinks.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.session.instructions import Instruction
from kiosk.screens.toolkit.layout import square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.motion import eased, progress
from kiosk.screens.toolkit.theme import ThemeColour

Drawing = Callable[[Pen], None]

LARGEST = 190.0
"""The largest side of an arrow's box, in design pixels: 2.7 degrees at 1 m on a 21.5 inch screen."""
LEAST_ROOM = 90.0
"""Where the head leaves less room beside it, no arrow is drawn: it would cover the face."""
ENTERS_S, GLIDE, GLIDE_S, GLIDES = 0.24, 18.0, 1.2, 3
"""How an arrow moves: the seconds in which it comes in, how far it glides in design pixels, the seconds of a glide
there and back, and how many there are; after them it rests (WCAG 2.2, 2.2.2: what moves by itself stops after 5 s or
can be stopped, here by `less_motion`)."""
RIM, STROKE = 26.0, 15.0
"""The widths of the dark rim and of the arrow on it, of 100 units: legible on any hair, skin and wall."""


def _left(pen: Pen) -> None:
    pen.arrow((88, 50), (14, 50), 34)


def _right(pen: Pen) -> None:
    pen.arrow((12, 50), (86, 50), 34)


def _up(pen: Pen) -> None:
    pen.arrow((50, 88), (50, 14), 34)


def _down(pen: Pen) -> None:
    pen.arrow((50, 12), (50, 86), 34)


def _turn_left(pen: Pen) -> None:
    pen.curve((88, 74), (50, 84), (20, 44))
    pen.tip((18, 40), 230, 32)


def _turn_right(pen: Pen) -> None:
    pen.curve((12, 74), (50, 84), (80, 44))
    pen.tip((82, 40), 310, 32)


def _tilt_left(pen: Pen) -> None:
    pen.curve((84, 20), (34, 22), (22, 72))
    pen.tip((21, 78), 104, 32)


def _tilt_right(pen: Pen) -> None:
    pen.curve((16, 20), (66, 22), (78, 72))
    pen.tip((79, 78), 76, 32)


CUES: Mapping[str, tuple[Drawing | None, Drawing | None]] = {
    Instruction.MOVE_LEFT: (_left, None),
    Instruction.MOVE_RIGHT: (None, _right),
    Instruction.SIT_HIGHER: (None, _up),
    Instruction.SIT_LOWER: (None, _down),
    Instruction.TURN_LEFT: (_turn_left, None),
    Instruction.TURN_RIGHT: (None, _turn_right),
    Instruction.CHIN_UP: (None, _up),
    Instruction.CHIN_DOWN: (None, _down),
    Instruction.TILT_LEFT: (_tilt_left, None),
    Instruction.TILT_RIGHT: (None, _tilt_right),
    Instruction.MOVE_CLOSER: (_left, _right),
    Instruction.MOVE_BACK: (_right, _left),
}
"""What is drawn to the left and to the right of the head; closer and back let the head grow and shrink."""


WAYS: Mapping[Drawing, tuple[int, int]] = {
    _left: (-1, 0),
    _right: (1, 0),
    _up: (0, -1),
    _down: (0, 1),
    _turn_left: (-1, 0),
    _turn_right: (1, 0),
    _tilt_left: (-1, 0),
    _tilt_right: (1, 0),
}
"""Where each arrow glides, to the right and down, with 1 for `GLIDE`."""


@dataclass(frozen=True, slots=True)
class Arrow:
    """One arrow of a cue, in its place on the screen."""

    drawing: Drawing
    box: Rect
    mirrored: bool

    def draw(self, canvas: skia.Canvas, rim: ThemeColour, colour: ThemeColour) -> None:
        """Draw the arrow on its rim."""
        for ink, stroke in ((rim, RIM), (colour, STROKE)):
            with Pen(canvas, self.box, ink, stroke, mirrored=self.mirrored) as pen:
                self.drawing(pen)

    def moved(self, shown_s: float) -> tuple[float, float]:
        """Return how far to the right and down it is from its place after so many seconds, in design pixels."""
        along = glided(shown_s)
        x, y = WAYS[self.drawing]
        return along * (-x if self.mirrored else x), along * y


def glided(shown_s: float) -> float:
    """Return how far along its direction an arrow is, from -`GLIDE` to `GLIDE` design pixels."""
    if shown_s < ENTERS_S:
        return -GLIDE * (1 - eased(progress(shown_s, 0.0, ENTERS_S)))
    gliding_s = shown_s - ENTERS_S
    return 0.0 if gliding_s >= GLIDES * GLIDE_S else GLIDE * (1 - math.cos(math.tau * gliding_s / GLIDE_S)) / 2


def cue(key: str, shown: Rect, head: Rect, *, mirror: bool) -> list[Arrow]:
    """Return an instruction's arrows in the room beside the head; flipped where the picture is not a mirror image.

    Parameters
    ----------
    shown, head
        The live picture, and all that an accepted head can cover in it.
    """
    sides = CUES.get(key, (None, None))
    left, right = sides if mirror else sides[::-1]
    rooms = (
        Rect(shown.x, head.y, head.x - shown.x, head.height),
        Rect(head.right, head.y, shown.right - head.right, head.height),
    )
    return [
        Arrow(drawing, square(room, min(room.width - 2 * GLIDE, LARGEST)), not mirror)
        for drawing, room in zip((left, right), rooms, strict=True)
        if drawing is not None and room.width >= LEAST_ROOM
    ]
