"""The large arrow beside the head in the live picture: where to move, in the sitter's own directions in a mirror."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.session.instructions import Instruction
from kiosk.screens.toolkit.layout import square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.theme import ThemeColour

Drawing = Callable[[Pen], None]

LARGEST = 190.0
"""The largest side of an arrow's box, in design pixels: 2.7 degrees at 1 m on a 21.5 inch screen."""
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


def cue(
    canvas: skia.Canvas, key: str, shown: Rect, head: Rect, colours: tuple[ThemeColour, ThemeColour], *, mirror: bool
) -> None:
    """Draw an instruction's arrows into the room beside the head; flipped where the picture is not a mirror image.

    Parameters
    ----------
    shown, head
        The live picture, and all that an accepted head can cover in it.
    colours
        Of the rim and of the arrow.
    """
    sides = CUES.get(key, (None, None))
    left, right = sides if mirror else sides[::-1]
    rooms = (
        Rect(shown.x, head.y, head.x - shown.x, head.height),
        Rect(head.right, head.y, shown.right - head.right, head.height),
    )
    for drawing, room in zip((left, right), rooms, strict=True):
        if drawing is None or room.width <= 0:
            continue
        box = square(room, min(room.width * 0.9, LARGEST))
        for colour, stroke in zip(colours, (RIM, STROKE), strict=True):
            with Pen(canvas, box, colour, stroke, mirrored=not mirror) as pen:
                drawing(pen)
