"""One drawing for each instruction: a head, and what to do with it.

Directions are the sitter's own as they face the screen, so left is drawn to the left whether or not the picture is
mirrored and whichever way the language reads.
"""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.session.coach import Instruction
from kiosk.screens.toolkit.icons import Drawing
from kiosk.screens.toolkit.line_pen import Pen


def head(
    pen: Pen, x: float = 50, y: float = 48, size: float = 1.0, look: tuple[float, float] = (0, 0), mouth: str = "rest"
) -> None:
    """Draw a head centred at (x, y) that looks sideways by `look`; `mouth` is rest, open, flat or none."""
    pen.oval(x, y, 25 * size, 32 * size)
    face_x, face_y = x + look[0] * size, y + look[1] * size
    for side in (-9, 9):
        pen.dot(face_x + side * size, face_y - 6 * size, 3.6 * size)
    if mouth == "rest":
        pen.curve(
            (face_x - 7 * size, face_y + 14 * size),
            (face_x, face_y + 16 * size),
            (face_x + 7 * size, face_y + 14 * size),
        )
    elif mouth == "open":
        pen.oval(face_x, face_y + 15 * size, 5.5 * size, 4.5 * size)


def _shoulders(pen: Pen, x: float = 50, top: float = 84) -> None:
    pen.curve((x - 34, top + 16), (x - 30, top), (x - 9, top - 2))
    pen.curve((x + 34, top + 16), (x + 30, top), (x + 9, top - 2))


def _sit_down(pen: Pen) -> None:
    pen.circle(52, 18, 12)
    pen.line((52, 32), (52, 62), (26, 62), (26, 90))
    pen.line((68, 48), (68, 74), (42, 74))
    pen.line((68, 74), (68, 92))


def lie_down(pen: Pen) -> None:
    """Draw a baby on a cloth, seen from above, with the camera above it."""
    pen.box(4, 22, 92, 72, 8)
    pen.circle(50, 44, 12)
    pen.curve((36, 62), (50, 52), (64, 62))
    pen.curve((36, 62), (32, 88), (50, 88))
    pen.curve((64, 62), (68, 88), (50, 88))
    pen.line((38, 66), (24, 76))
    pen.line((62, 66), (76, 76))
    pen.box(36, 2, 28, 12, 3)


def _one_person(pen: Pen) -> None:
    head(pen, 36, 46, 0.9)
    _faint_head(pen, 82, 40)
    _shoulders(pen, 36, 84)


def _faint_head(pen: Pen, x: float, y: float) -> None:
    pen.line((x - 11, y - 13), (x + 11, y + 13))
    pen.line((x + 11, y - 13), (x - 11, y + 13))


def _move_back(pen: Pen) -> None:
    head(pen, size=0.62)
    for x, y in ((14, 10), (86, 10), (14, 88), (86, 88)):
        pen.arrow((x, y), (x + (50 - x) * 0.38, y + (49 - y) * 0.38), 10)


def _move_closer(pen: Pen) -> None:
    head(pen, size=0.62)
    for x, y in ((14, 10), (86, 10), (14, 88), (86, 88)):
        pen.arrow((x + (50 - x) * 0.38, y + (49 - y) * 0.38), (x, y), 10)


def _move_left(pen: Pen) -> None:
    head(pen, 64, 44, 0.85)
    _shoulders(pen, 64)
    pen.arrow((30, 46), (2, 46), 13)


def _move_right(pen: Pen) -> None:
    head(pen, 36, 44, 0.85)
    _shoulders(pen, 36)
    pen.arrow((70, 46), (98, 46), 13)


def _sit_higher(pen: Pen) -> None:
    head(pen, 38, 44, 0.85)
    _shoulders(pen, 38)
    pen.arrow((88, 72), (88, 20), 13)


def _sit_lower(pen: Pen) -> None:
    head(pen, 38, 44, 0.85)
    _shoulders(pen, 38)
    pen.arrow((88, 20), (88, 72), 13)


def _turn_left(pen: Pen) -> None:
    head(pen, 50, 38, 0.98, look=(-7, 0))
    pen.curve((88, 70), (62, 96), (14, 80))
    pen.tip((12, 79), 196, 14)


def _turn_right(pen: Pen) -> None:
    head(pen, 50, 38, 0.98, look=(7, 0))
    pen.curve((12, 70), (38, 96), (86, 80))
    pen.tip((88, 79), -16, 14)


def _chin_up(pen: Pen) -> None:
    head(pen, 38, 50, look=(0, -9))
    pen.arrow((86, 74), (86, 26), 14)


def _chin_down(pen: Pen) -> None:
    head(pen, 38, 50, look=(0, 8))
    pen.arrow((86, 26), (86, 74), 14)


def _tilt_left(pen: Pen) -> None:
    with pen.turned(-16, 50, 80):
        head(pen, 50, 54, 0.95)
    pen.arc_arrow(50, 78, 70, -64, -44, 14)


def _tilt_right(pen: Pen) -> None:
    with pen.turned(16, 50, 80):
        head(pen, 50, 54, 0.95)
    pen.arc_arrow(50, 78, 70, -116, 44, 14)


def _open_eyes(pen: Pen) -> None:
    pen.curve((6, 50), (50, 2), (94, 50))
    pen.curve((6, 50), (50, 98), (94, 50))
    pen.dot(50, 50, 14)


def _close_mouth(pen: Pen) -> None:
    pen.curve((10, 50), (32, 26), (50, 38))
    pen.curve((50, 38), (68, 26), (90, 50))
    pen.line((10, 50), (90, 50))
    pen.curve((10, 50), (50, 92), (90, 50))


def _relax_face(pen: Pen) -> None:
    head(pen, size=1.25, mouth="none")
    pen.line((39, 68), (61, 68))


def _even_light(pen: Pen) -> None:
    head(pen, 50, 60, 0.95)
    for x, y, end_x, end_y in ((10, 22, 18, 32), (30, 8, 34, 18), (70, 8, 66, 18), (90, 22, 82, 32)):
        pen.line((x, y), (end_x, end_y))


def _clear_background(pen: Pen) -> None:
    head(pen, 50, 52, 0.8)
    _shoulders(pen, 50, 88)
    for x in (14, 86):
        _faint_head(pen, x, 28)


def _spectacles(pen: Pen, y: float) -> None:
    for x in (28, 72):
        pen.oval(x, y, 17, 14)
    pen.curve((45, y), (50, y - 6), (55, y))


def _look_at_lens(pen: Pen) -> None:
    pen.circle(50, 20, 16)
    pen.dot(50, 20, 6)
    for x in (28, 72):
        pen.curve((x - 20, 80), (x, 62), (x + 20, 80))
        pen.curve((x - 20, 80), (x, 98), (x + 20, 80))
        pen.dot(x, 78, 5)


def _look_at_light(pen: Pen) -> None:
    pen.dot(18, 18, 9)
    for x, y in ((44, 14), (38, 38), (14, 44)):
        pen.line((18 + (x - 18) * 0.7, 18 + (y - 18) * 0.7), (x, y))
    head(pen, 64, 60, look=(-7, -7))


def _tip_glasses(pen: Pen) -> None:
    _spectacles(pen, 34)
    pen.curve((11, 34), (2, 20), (6, 12))
    pen.arrow((50, 60), (50, 94), 13)


def _glasses_off(pen: Pen) -> None:
    _spectacles(pen, 72)
    pen.arrow((50, 50), (50, 8), 13)


def _clear_eyes(pen: Pen) -> None:
    head(pen, 50, 54)
    pen.curve((46, 22), (38, 30), (30, 36))
    pen.curve((54, 22), (62, 30), (70, 36))
    pen.arrow((20, 50), (2, 50), 10)
    pen.arrow((80, 50), (98, 50), 10)


def _head_free(pen: Pen) -> None:
    head(pen, 40, 64, 0.9)
    pen.line((8, 28), (72, 28))
    pen.line((20, 28), (24, 8), (56, 8), (60, 28))
    pen.arrow((88, 44), (88, 8), 13)


def _keep_still(pen: Pen) -> None:
    head(pen, 50, 50, 1.0, mouth="none")
    pen.line((42, 66), (58, 66))
    for x in (10, 90):
        pen.line((x, 20), (x, 80))


def _plain_light(pen: Pen) -> None:
    head(pen, 34, 56, 0.9)
    pen.circle(80, 24, 13)
    pen.line((64, 8), (96, 40))


def _centre_head(pen: Pen) -> None:
    head(pen, 50, 50, 0.8)
    for x, y in ((8, 6), (92, 6), (8, 94), (92, 94)):
        inner_x, inner_y = x + (16 if x < 50 else -16), y + (16 if y < 50 else -16)
        pen.line((inner_x, y), (x, y), (x, inner_y))


def _once_more(pen: Pen) -> None:
    pen.arc_arrow(50, 50, 36, -60, 300, 16)
    pen.dot(50, 50, 8)


def _hold_still(pen: Pen) -> None:
    head(pen, 50, 50, 1.1, mouth="none")
    pen.line((41, 66), (59, 66))


def _wait(pen: Pen) -> None:
    pen.circle(50, 50, 40)
    pen.circle(50, 50, 20)
    pen.dot(43, 43, 5)


def _measuring(pen: Pen) -> None:
    head(pen, 44, 50, 0.95)
    pen.line((86, 14), (86, 86))
    for y in (14, 32, 50, 68, 86):
        pen.line((78, y), (86, y))


def _print(pen: Pen) -> None:
    pen.line((26, 36), (26, 10), (74, 10), (74, 36))
    pen.line((26, 72), (8, 72), (8, 36), (92, 36), (92, 72), (74, 72))
    pen.line((26, 58), (26, 92), (74, 92), (74, 58))
    pen.line((20, 58), (80, 58))


FIGURES: Mapping[str, Drawing] = {
    Instruction.SIT_DOWN: _sit_down,
    Instruction.ONE_PERSON: _one_person,
    Instruction.MOVE_BACK: _move_back,
    Instruction.MOVE_CLOSER: _move_closer,
    Instruction.MOVE_LEFT: _move_left,
    Instruction.MOVE_RIGHT: _move_right,
    Instruction.SIT_HIGHER: _sit_higher,
    Instruction.SIT_LOWER: _sit_lower,
    Instruction.TURN_LEFT: _turn_left,
    Instruction.TURN_RIGHT: _turn_right,
    Instruction.CHIN_UP: _chin_up,
    Instruction.CHIN_DOWN: _chin_down,
    Instruction.TILT_LEFT: _tilt_left,
    Instruction.TILT_RIGHT: _tilt_right,
    Instruction.OPEN_EYES: _open_eyes,
    Instruction.CLOSE_MOUTH: _close_mouth,
    Instruction.RELAX_FACE: _relax_face,
    Instruction.EVEN_LIGHT: _even_light,
    Instruction.CLEAR_BACKGROUND: _clear_background,
    Instruction.LOOK_AT_LENS: _look_at_lens,
    Instruction.LOOK_AT_LIGHT: _look_at_light,
    Instruction.TIP_GLASSES: _tip_glasses,
    Instruction.GLASSES_OFF: _glasses_off,
    Instruction.CLEAR_EYES: _clear_eyes,
    Instruction.HEAD_FREE: _head_free,
    Instruction.KEEP_STILL: _keep_still,
    Instruction.PLAIN_LIGHT: _plain_light,
    Instruction.CENTRE_HEAD: _centre_head,
    Instruction.ONCE_MORE: _once_more,
    Instruction.HOLD_STILL: _hold_still,
    "lie_down": lie_down,
    "wait": _wait,
    "stay": _hold_still,
    "measuring": _measuring,
    "print": _print,
}
