"""What the review screen shows: the photo, and what was found in it."""

from __future__ import annotations

from dataclasses import dataclass, field

from kiosk.core.base.decision import Word
from kiosk.core.base.measurement import HeadPoints, HeadTop


@dataclass(frozen=True, slots=True)
class VerdictRow:
    """One requirement on the review screen: the key of its text, its value with the unit, its limit and its outcome.

    `number` is empty if no measurement covers the requirement.
    """

    key: str
    number: str
    limit: str
    word: Word


@dataclass(frozen=True, slots=True)
class PhotoChoice:
    """One of two photos that passed: its number, the cropped photo, and whether it is chosen and measured better."""

    number: int
    jpeg: bytes = field(repr=False)
    is_chosen: bool
    is_best: bool


@dataclass(frozen=True, slots=True)
class ReviewView:
    """The judgement of the last still, and the photo cut out of it.

    Attributes
    ----------
    verdict, rows
        The judgement of the last still.
    passed_by_attendant
        Whether an attendant has overridden that judgement.
    sitter_decides
        Whether the sitter may have a doubtful photo printed.
    can_retake
        Whether another photo can be taken: not once the camera has failed.
    reasons
        Keys of the requirements that failed, for the plain sentence.
    remedy, is_stuck
        Key of the instruction that would mend the first of them, and whether it was given before without success.
    photo_jpeg
        The cropped photo, for the review screen; the last shot's while the next is taken.
    photos
        The photos that the sitter can choose from; empty while there is one at most.
    photo_points_mm, head_top, photo_mm
        The head's points on the print, for the measured lines; the point to which the document measures head height;
        the size of the print.
    """

    verdict: Word = "unmeasured"
    rows: tuple[VerdictRow, ...] = ()
    passed_by_attendant: bool = False
    sitter_decides: bool = False
    can_retake: bool = True
    reasons: tuple[str, ...] = ()
    remedy: str = ""
    is_stuck: bool = False
    photo_jpeg: bytes = b""
    photos: tuple[PhotoChoice, ...] = ()
    photo_points_mm: HeadPoints | None = None
    head_top: HeadTop = "crown"
    photo_mm: tuple[float, float] = (0.0, 0.0)
