"""What a sitter can be asked to do, what each instruction mends, and which sign shows that it is followed."""

from __future__ import annotations

from dataclasses import dataclass
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
    LOOK_AT_LENS = "look_at_lens"
    LOOK_AT_LIGHT = "look_at_light"
    TIP_GLASSES = "tip_glasses"
    GLASSES_OFF = "glasses_off"
    CLEAR_EYES = "clear_eyes"
    HEAD_FREE = "head_free"
    KEEP_STILL = "keep_still"
    PLAIN_LIGHT = "plain_light"
    CENTRE_HEAD = "centre_head"
    ONCE_MORE = "once_more"
    HOLD_STILL = "hold_still"


FROM_STILL = (
    Instruction.LOOK_AT_LENS,
    Instruction.LOOK_AT_LIGHT,
    Instruction.TIP_GLASSES,
    Instruction.GLASSES_OFF,
    Instruction.CLEAR_EYES,
    Instruction.HEAD_FREE,
    Instruction.KEEP_STILL,
    Instruction.PLAIN_LIGHT,
    Instruction.CENTRE_HEAD,
    Instruction.ONCE_MORE,
)
"""What is asked only after a shot that failed: the live view does not measure it."""


@dataclass(frozen=True, slots=True)
class Ask:
    """What to say when a measurement is below or above its limits, and which check it belongs to."""

    name: str
    check: str
    below: Instruction | None
    above: Instruction | None


_I = Instruction
ASKS: tuple[Ask, ...] = (
    Ask("background_uniformity", "plain_background", _I.CLEAR_BACKGROUND, _I.CLEAR_BACKGROUND),
    Ask("illumination_uniformity", "even_light", _I.EVEN_LIGHT, _I.EVEN_LIGHT),
    Ask("under_exposure_prevention", "even_light", _I.EVEN_LIGHT, _I.EVEN_LIGHT),
    Ask("over_exposure_prevention", "even_light", _I.EVEN_LIGHT, _I.EVEN_LIGHT),
    Ask("head_share", "position", _I.MOVE_CLOSER, _I.MOVE_BACK),
    Ask("eye_x", "position", _I.MOVE_LEFT, _I.MOVE_RIGHT),
    Ask("eye_y", "position", _I.SIT_LOWER, _I.SIT_HIGHER),
    Ask("roll", "facing_forward", _I.TILT_LEFT, _I.TILT_RIGHT),
    Ask("yaw", "facing_forward", _I.TURN_LEFT, _I.TURN_RIGHT),
    Ask("pitch", "facing_forward", _I.CHIN_UP, _I.CHIN_DOWN),
    Ask("expression_neutrality", "mouth_closed", _I.RELAX_FACE, _I.RELAX_FACE),
    Ask("mouth_closed", "mouth_closed", _I.CLOSE_MOUTH, _I.CLOSE_MOUTH),
    Ask("eyes_open", "eyes_open", _I.OPEN_EYES, None),
)
"""In the order in which they are asked; the picture's right is the sitter's left."""

CHECKS = tuple(dict.fromkeys(ask.check for ask in ASKS))
CHECK_OF = {instruction: ask.check for ask in ASKS for instruction in (ask.below, ask.above) if instruction}
"""The sign that shows whether an instruction has been followed."""

PLACE_TAKING = (_I.SIT_DOWN, _I.ONE_PERSON)
"""What is asked while there is no single face to measure."""

OPPOSITES = {
    a: b
    for pair in (
        (_I.MOVE_BACK, _I.MOVE_CLOSER),
        (_I.MOVE_LEFT, _I.MOVE_RIGHT),
        (_I.SIT_HIGHER, _I.SIT_LOWER),
        (_I.TURN_LEFT, _I.TURN_RIGHT),
        (_I.CHIN_UP, _I.CHIN_DOWN),
        (_I.TILT_LEFT, _I.TILT_RIGHT),
    )
    for a, b in (pair, pair[::-1])
}
