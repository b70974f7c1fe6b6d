"""What the align screen shows: the live picture, the head's place in it, and the one instruction."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect

LensPlace = Literal["above", "below", "left", "right"]
"""Where the lens is beside the screen, as the sitter sees it."""


@dataclass(frozen=True, slots=True)
class Check:
    """One live requirement as the sitter sees it: the key of its text, and its outcome."""

    key: str
    word: Word


@dataclass(frozen=True, slots=True)
class AlignView:
    """The live picture, and the one instruction over it.

    Attributes
    ----------
    instruction
        Key of the one instruction on the align screen; empty before the first.
    instruction_since_s
        Since when it has been on the screen, in monotonic seconds.
    is_waiting
        Whether the sitter can only wait: the live picture has stopped, or the shot takes longer than anybody holds
        still.
    has_other_words, height_off_cm
        Whether the instruction is given in its alternative wording, and how far the eye line is too low, which that
        wording quotes.
    shows_retake
        Whether the last shot is shown with what was wrong and what mends it, before the coach goes on.
    wants_person
        Whether the sitter is offered a person's help.
    praise
        Whether the sitter has just improved.
    checks
        Live requirements, in a fixed order.
    hold_fraction
        The part of the hold-still time that has passed, 0 to 1.
    mirror
        Whether the camera picture is shown as in a mirror.
    guide
        Where the head belongs (crown to chin, cheek to cheek), as fractions of the live picture's width and height.
    inner, outer
        The smallest head that is accepted, and all that an accepted head can cover, likewise; drawn as two contours.
    crop
        What is left of the picture in the document's photo, likewise; the rest is dimmed.
    lens
        Where the lens is, at which the sitter looks.
    """

    instruction: str = ""
    instruction_since_s: float = 0.0
    is_waiting: bool = False
    has_other_words: bool = False
    height_off_cm: int = 0
    shows_retake: bool = False
    wants_person: bool = False
    praise: bool = False
    checks: tuple[Check, ...] = ()
    hold_fraction: float = 0.0
    mirror: bool = True
    guide: Rect | None = None
    inner: Rect | None = None
    outer: Rect | None = None
    crop: Rect | None = None
    lens: LensPlace = "above"
