"""What a sitter can ask for by a tap, and the accessibility options."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

IntentName = Literal[
    "start",
    "choose",
    "ready",
    "type",
    "erase",
    "guest",
    "share",
    "without_photo",
    "agree",
    "back",
    "language",
    "ease",
    "volume",
    "headphones",
    "start_again",
    "help",
    "retake",
    "pick",
    "accept",
    "accept_doubt",
    "sheets",
    "paper",
    "print",
    "cancel",
    "retry",
    "take_file",
    "done",
    "more_time",
    "call",
]


EaseName = Literal["large_type", "strong_contrast", "low_controls", "one_switch", "seat_stays", "less_motion"]


@dataclass(frozen=True, slots=True)
class Intent:
    """What the sitter wants, as read from a tap.

    Depending on the name, `argument` is the id of a document or guest, a language tag, a letter, a paper, a field of
    `Ease`, an age, a number of sheets, a step of volume, whether headphones are `in` or `out`, or a way for the file.
    """

    name: IntentName
    argument: str = ""


@dataclass(frozen=True, slots=True)
class Ease:
    """The accessibility options of this sitter; each can be switched on every screen.

    Attributes
    ----------
    large_type
        Text is as large as its box allows.
    strong_contrast
        Screens are white and yellow on black.
    low_controls
        Three buttons at the lower edge reach everything else.
    one_switch
        The focus moves on by itself, and a single key or switch activates the focused control.
    seat_stays
        The sitter uses a wheelchair or a seat that cannot be raised. Instructions are about the camera's height
        instead, and low controls are switched on as well.
    less_motion
        Nothing glides or loops; what counts time moves once a second.
    """

    large_type: bool = False
    strong_contrast: bool = False
    low_controls: bool = False
    one_switch: bool = False
    seat_stays: bool = False
    less_motion: bool = False


LOUDEST = 3


EASE_NAMES: tuple[EaseName, ...] = get_args(EaseName)
