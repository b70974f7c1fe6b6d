"""From what is seen to the ONE instruction that helps most, in the sitter's own directions."""

from __future__ import annotations

from enum import StrEnum


class Instruction(StrEnum):
    """What the sitter is asked to do; left and right are the sitter's own."""

    SIT_DOWN = "sit_down"
    ONE_PERSON = "one_person"
    MOVE_BACK = "move_back"
    MOVE_CLOSER = "move_closer"
    MOVE_LEFT = "move_left"
    MOVE_RIGHT = "move_right"
    SIT_HIGHER = "sit_higher"
    SIT_LOWER = "sit_lower"
    TURN_LEFT = "turn_left"
    TURN_RIGHT = "turn_right"
    CHIN_UP = "chin_up"
    CHIN_DOWN = "chin_down"
    TILT_LEFT = "tilt_left"
    TILT_RIGHT = "tilt_right"
    OPEN_EYES = "open_eyes"
    CLOSE_MOUTH = "close_mouth"
    RELAX_FACE = "relax_face"
    EVEN_LIGHT = "even_light"
    CLEAR_BACKGROUND = "clear_background"
    HOLD_STILL = "hold_still"


CHECKS = ("position", "facing_forward", "eyes_open", "mouth_closed", "even_light", "plain_background")
