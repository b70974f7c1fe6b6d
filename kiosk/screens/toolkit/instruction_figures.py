"""The figure for each instruction, and for what the booth does by itself."""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.session.instructions import Instruction
from kiosk.screens.toolkit import pose_figures, remedy_figures
from kiosk.screens.toolkit.icons import Drawing
from kiosk.screens.toolkit.line_pen import Pen


def _wait(pen: Pen) -> None:
    pen.circle(50, 50, 40)
    pen.circle(50, 50, 20)
    pen.dot(43, 43, 5)


def _measuring(pen: Pen) -> None:
    pose_figures.head(pen, 44, 50, 0.95)
    pen.line((86, 14), (86, 86))
    for y in (14, 32, 50, 68, 86):
        pen.line((78, y), (86, y))


def _print(pen: Pen) -> None:
    pen.line((26, 36), (26, 10), (74, 10), (74, 36))
    pen.line((26, 72), (8, 72), (8, 36), (92, 36), (92, 72), (74, 72))
    pen.line((26, 58), (26, 92), (74, 92), (74, 58))
    pen.line((20, 58), (80, 58))


FIGURES: Mapping[str, Drawing] = {
    Instruction.SIT_DOWN: pose_figures.sit_down,
    Instruction.ONE_PERSON: pose_figures.one_person,
    Instruction.MOVE_BACK: pose_figures.move_back,
    Instruction.MOVE_CLOSER: pose_figures.move_closer,
    Instruction.MOVE_LEFT: pose_figures.move_left,
    Instruction.MOVE_RIGHT: pose_figures.move_right,
    Instruction.SIT_HIGHER: pose_figures.sit_higher,
    Instruction.SIT_LOWER: pose_figures.sit_lower,
    Instruction.TURN_LEFT: pose_figures.turn_left,
    Instruction.TURN_RIGHT: pose_figures.turn_right,
    Instruction.CHIN_UP: pose_figures.chin_up,
    Instruction.CHIN_DOWN: pose_figures.chin_down,
    Instruction.TILT_LEFT: pose_figures.tilt_left,
    Instruction.TILT_RIGHT: pose_figures.tilt_right,
    Instruction.OPEN_EYES: remedy_figures.open_eyes,
    Instruction.CLOSE_MOUTH: remedy_figures.close_mouth,
    Instruction.RELAX_FACE: remedy_figures.relax_face,
    Instruction.EVEN_LIGHT: remedy_figures.even_light,
    Instruction.CLEAR_BACKGROUND: remedy_figures.clear_background,
    Instruction.LOOK_AT_LENS: remedy_figures.look_at_lens,
    Instruction.LOOK_AT_LIGHT: remedy_figures.look_at_light,
    Instruction.TIP_GLASSES: remedy_figures.tip_glasses,
    Instruction.GLASSES_OFF: remedy_figures.glasses_off,
    Instruction.CLEAR_EYES: remedy_figures.clear_eyes,
    Instruction.HEAD_FREE: remedy_figures.head_free,
    Instruction.KEEP_STILL: remedy_figures.keep_still,
    Instruction.PLAIN_LIGHT: remedy_figures.plain_light,
    Instruction.CENTRE_HEAD: pose_figures.centre_head,
    Instruction.ONCE_MORE: remedy_figures.once_more,
    Instruction.HOLD_STILL: pose_figures.hold_still,
    "lie_down": pose_figures.lie_down,
    "wait": _wait,
    "stay": pose_figures.hold_still,
    "measuring": _measuring,
    "print": _print,
}
