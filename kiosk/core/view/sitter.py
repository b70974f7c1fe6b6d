"""The frozen values between session and screens: what a screen may show, and the intents it returns."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.base.care import Care
from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect
from kiosk.core.base.measurement import HeadPoints, HeadTop
from kiosk.core.view.attendant import DeskView
from kiosk.core.view.choice import DocumentOffer, Guest, Search
from kiosk.core.view.handover import HandoverView
from kiosk.core.view.intent import Ease
from kiosk.core.view.payment import PaymentView
from kiosk.core.view.sheet import SheetView

State = Literal[
    "welcome",
    "find",
    "choose",
    "prepare",
    "privacy",
    "align",
    "shooting",
    "measuring",
    "review",
    "copies",
    "release",
    "paying",
    "printing",
    "unprinted",
    "collect",
    "take_file",
    "money_back",
    "thanks",
    "out_of_order",
]
SheetFate = Literal["sheet_unknown", "sheet_not_printed"]
"""What became of a sheet that its sitter waited for in vain."""

LensPlace = Literal["above", "below", "left", "right"]
"""Where the lens is beside the screen, as the sitter sees it."""

Trouble = Literal["camera", "printer", "paper", "closed", "sheet_unknown", "sheet_not_printed", "other"]


@dataclass(frozen=True, slots=True)
class Check:
    """One live requirement as the sitter sees it: the key of its text, and its outcome."""

    key: str
    word: Word


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


@dataclass(frozen=True, slots=True)
class EventView:
    """The event's roster, and the guest whose badge is being made.

    Attributes
    ----------
    is_event
        Whether the booth makes badges for an event instead of photos for documents.
    search, guest
        The matches on the roster, and the guest whose badge is being made.
    shares, shared_until
        Whether the guest shares the photo with the organiser, and the day on which it is deleted (ISO 8601); empty if
        no organiser asks for photos.
    """

    is_event: bool = False
    search: Search = field(default_factory=Search)
    guest: Guest | None = None
    shares: bool = False
    shared_until: str = ""


@dataclass(frozen=True, slots=True)
class SessionView:
    """Everything that a screen may show; nothing else reaches the screens.

    Attributes
    ----------
    state, since_s, now_s
        The state, its start, and the current time (monotonic seconds).
    language
        BCP 47 tag of the language in use.
    ease
        The sitter's accessibility options.
    has_voice, volume
        Whether the booth can speak, and its volume from 0 (silent) to `LOUDEST`.
    headphones
        Whether the sitter has plugged headphones in, into which the welcome screen speaks as well.
    simulated
        Whether any device is simulated, which every screen must then show.
    offers
        The documents to choose from, the shop's short list first.
    document
        The chosen document.
    shot, shots
        Number of the current shot, and the largest number that will be taken.
    attended, called
        Whether there is an attendant to call, and whether the sitter has called one.
    rules_read_on
        The day on which the rules were read (ISO 8601).
    care
        Who reads the instructions: the sitter, or a carer for a child that sits or lies.
    is_light
        Whether the screens are light; dark otherwise.
    accent
        The shop's own colour as these screens show it (red, green and blue, 0 to 255); None for the booth's.
    fault, trouble
        On the out-of-order screen: a sentence and a next step for staff, and the subject for the sitter.
    desk
        The attendant's desk while it is open; it then replaces the sitter's screens.
    time_left_s
        Seconds until the session starts again by itself, once the countdown shows; else None. Any intent resets it.
    align, review, sheet, payment, handover, event
        The fields of one screen, or of a few.
    """

    state: State = "welcome"
    since_s: float = 0.0
    now_s: float = 0.0
    language: str = "en"
    languages: tuple[str, ...] = ("en",)
    ease: Ease = field(default_factory=Ease)
    has_voice: bool = False
    volume: int = 0
    headphones: bool = False
    simulated: bool = False
    offers: tuple[DocumentOffer, ...] = ()
    document: DocumentOffer | None = None
    shot: int = 0
    shots: int = 0
    attended: bool = False
    called: bool = False
    rules_read_on: str = ""
    care: Care = "self"
    is_light: bool = False
    accent: tuple[int, int, int] | None = None
    fault: tuple[str, str] = ("", "")
    trouble: Trouble = "other"
    desk: DeskView | None = None
    time_left_s: float | None = None
    align: AlignView = AlignView()
    review: ReviewView = ReviewView()
    sheet: SheetView = field(default_factory=SheetView)
    payment: PaymentView = field(default_factory=PaymentView)
    handover: HandoverView = field(default_factory=HandoverView)
    event: EventView = EventView()
