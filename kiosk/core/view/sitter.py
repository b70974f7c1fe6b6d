"""What a screen may know, and what it may answer: frozen values between the session and the screens."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, get_args

from kiosk.core.base.care import Care
from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect
from kiosk.core.base.measurement import HeadPoints, HeadTop
from kiosk.core.document.requirements import Channel, DocumentKind
from kiosk.core.view.attendant import DeskView

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
    "printing",
    "collect",
    "thanks",
    "out_of_order",
]
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
    "start_again",
    "help",
    "retake",
    "accept",
    "accept_doubt",
    "sheets",
    "paper",
    "print",
    "done",
    "more_time",
    "call",
]
EaseName = Literal["large_type", "strong_contrast", "low_controls", "one_switch", "seat_stays"]
Trouble = Literal["camera", "printer", "paper", "closed", "other"]


@dataclass(frozen=True, slots=True)
class Intent:
    """What the sitter wants, from a tap.

    `argument` names a document, a guest, a language, a letter, a paper, a part of `Ease`, or is an age, a number of
    sheets or a step of volume.
    """

    name: IntentName
    argument: str = ""


@dataclass(frozen=True, slots=True)
class Ease:
    """What makes the booth easier for this sitter, each switched on and off from every screen.

    Attributes
    ----------
    large_type
        Text as large as its box allows.
    strong_contrast
        White and yellow on black.
    low_controls
        Three buttons at the lower edge reach everything else.
    one_switch
        The focus moves on by itself, and one key or switch presses what has it.
    seat_stays
        The sitter's seat is a wheelchair or cannot be raised: the camera's height is spoken of instead, and low
        controls are switched on with it.
    """

    large_type: bool = False
    strong_contrast: bool = False
    low_controls: bool = False
    one_switch: bool = False
    seat_stays: bool = False


LOUDEST = 3

EASE_NAMES: tuple[EaseName, ...] = get_args(EaseName)


@dataclass(frozen=True, slots=True)
class Check:
    """One live requirement as the sitter sees it: a key for its words, and how it stands."""

    key: str
    word: Word


@dataclass(frozen=True, slots=True)
class Price:
    """What a sheet costs, in a currency by its ISO 4217 code."""

    amount: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class DocumentOffer:
    """A document on the list to choose from; `title` is what its rules call it, for where `kinds` say nothing.

    `glasses` tells whether they may stay on, None where the rules say nothing; from each of `ages` in completed years
    other rules hold.
    """

    id: str
    title: str
    country: str | None
    size_text: str
    channel: Channel
    kinds: tuple[DocumentKind, ...] = ()
    is_upload: bool = False
    glasses: bool | None = None
    ages: tuple[int, ...] = ()
    price: Price | None = None


@dataclass(frozen=True, slots=True)
class PaperOffer:
    """A paper to choose: its short name, how many photos a sheet carries, and what a sheet costs where it is shown."""

    name: str
    photos: int
    price: Price | None = None


@dataclass(frozen=True, slots=True)
class Guest:
    """Somebody on the roster of an event, as the search shows them."""

    id: str
    name: str
    detail: str = ""
    has_badge: bool = False


@dataclass(frozen=True, slots=True)
class Search:
    """What was found for the beginning of a name.

    Attributes
    ----------
    query
        The letters so far.
    guests
        Who fits, the first of them.
    letters
        The letters with which it can go on; a space where another name can begin.
    unknown_code
        Whether a code was held up that is nobody's id.
    """

    query: str = ""
    guests: tuple[Guest, ...] = ()
    letters: tuple[str, ...] = ()
    unknown_code: bool = False


@dataclass(frozen=True, slots=True)
class VerdictRow:
    """One requirement on the review screen: words' key, the number with its unit, the limit, the verdict.

    `number` is empty where no measurement looks at it.
    """

    key: str
    number: str
    limit: str
    word: Word


@dataclass(frozen=True, slots=True)
class AlignView:
    """The live picture and the one instruction on it.

    Attributes
    ----------
    instruction
        Key of the one instruction on the align screen, empty before the first.
    has_other_words, height_off_cm
        Whether the instruction is now said in its other words, and by how much the eye line is too low for them.
    wants_person
        Whether a person is offered.
    praise
        Whether things have just got better.
    checks
        Live requirements, in a fixed order.
    hold_fraction
        How much of the hold-still time has passed, 0 to 1.
    mirror
        Whether the camera picture is shown mirrored, like a mirror.
    guide
        Target outline as fractions of the live picture's width and height: where the head belongs
        (crown to chin, cheek to cheek).
    """

    instruction: str = ""
    has_other_words: bool = False
    height_off_cm: int = 0
    wants_person: bool = False
    praise: bool = False
    checks: tuple[Check, ...] = ()
    hold_fraction: float = 0.0
    mirror: bool = True
    guide: Rect | None = None


@dataclass(frozen=True, slots=True)
class ReviewView:
    """The judgement of the last still, and the photo cut out of it.

    Attributes
    ----------
    verdict, rows
        The judgement of the last still.
    passed_by_attendant
        Whether an attendant has passed it all the same.
    sitter_decides
        Whether the sitter may have it printed though something in it is doubtful.
    reasons
        Keys of what failed, for the plain sentence.
    photo_jpeg
        The cropped photo, for the review screen.
    photo_points_mm, head_top
        Crown, hair top, chin and eyes on the print, to draw the measured lines, and which top of the head the document
        measures to; photo_mm is the size of the print.
    """

    verdict: Word = "unmeasured"
    rows: tuple[VerdictRow, ...] = ()
    passed_by_attendant: bool = False
    sitter_decides: bool = False
    reasons: tuple[str, ...] = ()
    photo_jpeg: bytes = b""
    photo_points_mm: HeadPoints | None = None
    head_top: HeadTop = "crown"
    photo_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class SheetView:
    """What is chosen and printed.

    Attributes
    ----------
    kept_minutes
        How long the sheet is kept for printing again; 0 where it is not.
    copies, paper
        How many photos the sheet carries, and the paper's short name.
    print_state
        waiting, printing or done.
    papers, sheets_offered
        What can be chosen on the copies screen.
    sheets, total
        How many sheets are chosen, and what they cost where prices are shown.
    """

    kept_minutes: int = 0
    copies: int = 0
    paper: str = ""
    print_state: str = "waiting"
    papers: tuple[PaperOffer, ...] = ()
    sheets_offered: tuple[int, ...] = (1,)
    sheets: int = 1
    total: Price | None = None


@dataclass(frozen=True, slots=True)
class EventView:
    """What only an event has: its roster and the guest.

    Attributes
    ----------
    is_event
        Whether badges of an event are handed out here, instead of photos for documents.
    search, guest
        What was found on the roster, and whose badge is made.
    shares, shared_until
        Whether the guest lets the organiser have the photo, and the day it is deleted, ISO 8601; empty where no
        organiser asks.
    """

    is_event: bool = False
    search: Search = Search()
    guest: Guest | None = None
    shares: bool = False
    shared_until: str = ""


@dataclass(frozen=True, slots=True)
class SessionView:
    """All that a screen may know; nothing else reaches the screens.

    Attributes
    ----------
    state, since_s, now_s
        The state, when it began, and now (monotonic seconds).
    language
        BCP 47 tag of the language in use.
    ease
        What makes it easier for this sitter.
    has_voice, volume
        Whether the booth can speak, and how loud it does, from 0 for silence to `LOUDEST`.
    simulated
        Whether any device is simulated; then every screen says so.
    offers
        The documents to choose from, the shop's short list first.
    document
        The chosen one.
    shot, shots
        Number of the current shot and the most that will be tried.
    attended, called
        Whether there is an attendant to call, and whether the sitter has called.
    rules_read_on
        Day the rules were read, ISO 8601.
    care
        Who reads the words: the sitter, or a carer for a child that sits or lies.
    fault, trouble
        Sentence and next step for staff on the out-of-order screen, and what it is about, for the sitter.
    desk
        The attendant's desk, where it is open; then it is shown in place of the sitter's screens.
    time_left_s
        Seconds until the session starts again by itself, in the last of them; else None. Any intent extends it.
    align, review, sheet, event
        What belongs to one screen or a few.
    """

    state: State = "welcome"
    since_s: float = 0.0
    now_s: float = 0.0
    language: str = "en"
    languages: tuple[str, ...] = ("en",)
    ease: Ease = Ease()
    has_voice: bool = False
    volume: int = 0
    simulated: bool = False
    offers: tuple[DocumentOffer, ...] = ()
    document: DocumentOffer | None = None
    shot: int = 0
    shots: int = 0
    attended: bool = False
    called: bool = False
    rules_read_on: str = ""
    care: Care = "self"
    fault: tuple[str, str] = ("", "")
    trouble: Trouble = "other"
    desk: DeskView | None = None
    time_left_s: float | None = None
    align: AlignView = AlignView()
    review: ReviewView = ReviewView()
    sheet: SheetView = SheetView()
    event: EventView = EventView()
