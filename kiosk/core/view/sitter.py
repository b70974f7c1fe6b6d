"""The frozen values between session and screens: what a screen may show, and the intents it returns."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.base.care import Care
from kiosk.core.view.align import AlignView
from kiosk.core.view.attendant import DeskView
from kiosk.core.view.choice import DocumentOffer, Guest, Search
from kiosk.core.view.handover import HandoverView
from kiosk.core.view.intent import Ease
from kiosk.core.view.payment import PaymentView
from kiosk.core.view.review import ReviewView
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

Trouble = Literal["camera", "printer", "paper", "closed", "sheet_unknown", "sheet_not_printed", "other"]


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
        Number of the last shot that was ordered, and the largest number that will be taken.
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
    align: AlignView = field(default_factory=AlignView)
    review: ReviewView = field(default_factory=ReviewView)
    sheet: SheetView = field(default_factory=SheetView)
    payment: PaymentView = field(default_factory=PaymentView)
    handover: HandoverView = field(default_factory=HandoverView)
    event: EventView = EventView()

    @property
    def is_alone(self) -> bool:
        """Whether the sitter can ask nobody: there is no attendant, and no desk of an event."""
        return not self.attended and not self.event.is_event
