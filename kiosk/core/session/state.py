"""Where a sitter stands, what the booth is set to, and the moves that every way through it shares."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Literal

from kiosk.core.base.care import Care
from kiosk.core.base.ticket import Ticket
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Judgement
from kiosk.core.judging.doubt import Decider, is_only_doubtful
from kiosk.core.judging.framing import Framing
from kiosk.core.session.burst import Burst
from kiosk.core.session.coach import Advice, Instruction, live_limits, unseen
from kiosk.core.session.events import Command, Ending, Failed, Look, Mended, Shoot, Still, Turn, Wipe
from kiosk.core.session.remedies import remedy
from kiosk.core.session.shutter import Hold
from kiosk.core.view.choice import Guest, Price, Search
from kiosk.core.view.intent import Ease
from kiosk.core.view.sitter import SheetFate, State

NEXT: Mapping[State, tuple[State, ...]] = {
    "welcome": ("choose", "find", "out_of_order"),
    "find": ("privacy", "printing", "welcome", "out_of_order"),
    "choose": ("prepare", "welcome", "out_of_order"),
    "prepare": ("privacy", "choose", "welcome", "out_of_order"),
    "privacy": ("align", "prepare", "find", "printing", "welcome", "out_of_order"),
    "align": ("shooting", "review", "welcome", "out_of_order"),
    "shooting": ("measuring", "align", "welcome", "out_of_order"),
    "measuring": ("review", "align", "printing", "welcome", "out_of_order"),
    "review": ("align", "copies", "release", "printing", "welcome", "out_of_order"),
    "copies": ("review", "release", "printing", "welcome", "out_of_order"),
    "release": ("printing", "welcome", "out_of_order"),
    "printing": ("collect", "find", "welcome", "out_of_order"),
    "collect": ("thanks", "welcome", "out_of_order"),
    "thanks": ("welcome", "out_of_order"),
    "out_of_order": ("welcome",),
}

USUAL_VOLUME = 2

BADGE_SENT_S = 6.0
"""How long the screen shows a guest where the badge comes out, before it greets the next one."""

WARNING_S = 21.0
"""How long before it starts again the session warns: 20 whole seconds at least, WCAG 2.2, 2.2.1."""

FORGET_S = 60.0
"""How long the welcome screen keeps the language and the ease that somebody chose and left (practice)."""


@dataclass(frozen=True, slots=True)
class Reception:
    """What a booth is set to that hands out the badges of an event.

    Attributes
    ----------
    document
        The rules of the badge's photo; None where the badge shows none.
    shared_until
        The day until which the organiser keeps the photos of those who allow it; None where none is kept.
    """

    document: Document | None
    shared_until: date | None = None


@dataclass(frozen=True, slots=True)
class BoothConfig:
    """What the booth is set to.

    Attributes
    ----------
    documents
        Those offered, in the order of the list.
    shots
        How many shots are tried before a person decides; fewer where the same thing fails again.
    burst
        How many stills a shot has; the best of them is kept.
    still_px
        Width and height of the camera's stills.
    prices
        What a sheet costs, by the document's id, where a price is shown.
    sheets
        How many sheets can be asked for; the first is taken where nothing is asked.
    papers
        The short names of the papers that a document's photos can be printed on, by its id, the usual one first; a
        document that is not named has the usual one only.
    extras
        What a sheet costs more on a paper, by its short name.
    lying_deg
        By how much the picture of a camera that looks down on a baby is turned clockwise to be upright; None where no
        baby can lie below it.
    release
        Who lets a sheet be printed: `free` prints at once, `attendant` waits for one.
    doubt
        Who decides whether a photo is printed that stays doubtful.
    attended
        Whether there is an attendant who can be called.
    has_voice
        Whether the booth can speak.
    reprint_minutes
        How long a sheet is kept so that the attendant can print it again; 0 where none is.
    called_s
        How long a sitter who has called may wait for the attendant.
    reception
        Set where badges of an event are handed out instead of photos for documents.
    idle_s
        Seconds without a sitter's action, or a device's answer, after which each state goes back to welcome.
    """

    documents: tuple[Document, ...]
    languages: tuple[str, ...] = ("en",)
    shots: int = 4
    burst: int = 1
    still_px: tuple[int, int] = (1600, 2000)
    prices: Mapping[str, Price] = field(default_factory=dict)
    sheets: tuple[int, ...] = (1,)
    papers: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    extras: Mapping[str, Decimal] = field(default_factory=dict)
    lying_deg: Turn | None = None
    release: Literal["free", "attendant"] = "free"
    doubt: Decider = "attendant"
    attended: bool = False
    has_voice: bool = False
    reprint_minutes: int = 0
    called_s: float = 600.0
    reception: Reception | None = None
    idle_s: Mapping[State, float] = field(
        default_factory=lambda: {
            "find": 60.0,
            "choose": 90.0,
            "prepare": 120.0,
            "privacy": 120.0,
            "align": 180.0,
            "shooting": 60.0,
            "measuring": 60.0,
            "review": 120.0,
            "copies": 120.0,
            "release": 600.0,
            "printing": 600.0,
            "collect": 45.0,
            "thanks": 8.0,
        }
    )


@dataclass(frozen=True, slots=True)
class Session:
    """Where the sitter stands.

    Attributes
    ----------
    ticket
        The last one that was given out; it goes on from one sitter to the next, so that none is given out twice.
    care, turned_deg
        Who reads the words, and by how much the camera's pictures are turned clockwise to be upright.
    still, judged
        The photo that is under review or, while others are taken, the one that can still be printed; and the judgement
        on the last shot.
    failed
        The names of what failed in each shot so far.
    sheets, paper
        How many sheets are printed, and on which paper; empty for the usual one.
    fault, fault_key
        The sentence and the next step of what failed, and the key of its error.
    fate, news
        What became of the sitter's sheet, until somebody confirms to have read it; and what the devices have said
        since, which waits until then.
    called
        Whether the sitter has called the attendant, who has not come yet.
    search, codes, guest, found_s, shares
        At an event: what was found on the roster, the codes in view with when each was last seen, whose badge is made,
        when that was known, and whether the organiser may have the photo. There, `fault` holds why the last badge was
        refused.
    """

    state: State = "welcome"
    since_s: float = 0.0
    active_s: float = 0.0
    language: str = "en"
    ease: Ease = field(default_factory=Ease)
    volume: int = USUAL_VOLUME
    ticket: Ticket = field(default_factory=Ticket)
    document: Document | None = None
    where: Framing | None = None
    care: Care = "self"
    turned_deg: Turn = 0
    advice: Advice = field(default_factory=Advice)
    hold: Hold = field(default_factory=Hold)
    shot: int = 0
    burst: Burst = field(default_factory=Burst)
    still: Still | None = None
    judged: Judgement | None = None
    failed: tuple[str, ...] = ()
    sheets: int = 1
    paper: str = ""
    print_state: str = "waiting"
    fault: tuple[str, str] = ("", "")
    fault_key: str = ""
    fate: SheetFate | None = None
    news: Failed | Mended | None = None
    called: bool = False
    search: Search = field(default_factory=Search)
    codes: tuple[tuple[str, float], ...] = ()
    guest: Guest | None = None
    found_s: float = 0.0
    shares: bool = False


Transition = tuple[Session, tuple[Command, ...]]


def enter(session: Session, state: State, now_s: float) -> Session:
    """Return the session in another state.

    Raises
    ------
    ValueError
        The table has no such way.
    """
    if state not in NEXT[session.state]:
        raise ValueError(f"no way from {session.state} to {state}")
    return replace(session, state=state, since_s=now_s, active_s=now_s)


def order(session: Session, now_s: float) -> tuple[Session, Shoot]:
    """Return the session that waits for its burst's next still, and the order for it."""
    session = replace(session, ticket=session.ticket.following)
    return replace(session, burst=session.burst.orders(session.ticket, now_s)), Shoot(session.ticket)


def enter_printing(session: Session, now_s: float) -> Session:
    """Return the session that waits for its sheet or badge, under a new ticket."""
    return replace(enter(session, "printing", now_s), print_state="waiting", ticket=session.ticket.following)


def sitter_decides(session: Session, config: BoothConfig) -> bool:
    """Return whether the sitter may have the photo printed though something in it is doubtful."""
    still = session.still
    if config.doubt != "sitter" or session.guest is not None or still is None or still.override is not None:
        return False
    return is_only_doubtful(still.judgement)


def may_print(session: Session, config: BoothConfig) -> bool:
    """Return whether the photo, as it stands, is one that the sitter can have printed."""
    return (session.still is not None and session.still.passed) or sitter_decides(session, config)


def seat_is_empty(session: Session) -> bool:
    """Return whether the sitter is to be photographed and is not there."""
    return session.state == "align" and session.advice.instruction is Instruction.SIT_DOWN


def align(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Coach from the start; of the photo so far one that passed or that the sitter may decide for is kept."""
    kept = None if session.still is None else replace(session.still, override=None)
    session = replace(enter(session, "align", now_s), still=kept)
    return coach(session if may_print(session, config) else replace(session, still=None))


def coach(session: Session) -> Transition:
    """Look, and begin with the first instruction."""
    document, where = session.document, session.where
    wanted = remedy(session.judged, session.failed)
    advice = unseen(live_limits(document, where), wanted) if document is not None and where is not None else Advice()
    keeps = session.still.number if session.still is not None else 0
    return replace(session, advice=advice, hold=Hold(), burst=Burst()), (Look(True, session.turned_deg, keeps),)


def leave(session: Session, now_s: float, config: BoothConfig, ending: Ending) -> Transition:
    """Wipe and go back to welcome."""
    fresh, _ = welcome(session, now_s, config)
    return fresh, (Look(False), Wipe(ending))


def welcome(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Begin anew."""
    state = enter(session, "welcome", now_s).state
    language = config.languages[0]
    return Session(state=state, since_s=now_s, active_s=now_s, language=language, ticket=session.ticket), ()
