"""Where a sitter stands, and the moves that every way through a session shares."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from kiosk.core.base.care import Care
from kiosk.core.base.ticket import Ticket
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Judgement
from kiosk.core.judging.doubt import is_only_doubtful
from kiosk.core.judging.framing import Framing
from kiosk.core.session.account import Account
from kiosk.core.session.advice import Advice
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.burst import Burst
from kiosk.core.session.coach import live_limits, unseen
from kiosk.core.session.commands import Command, Look, Shoot, Turn
from kiosk.core.session.events import Failed, Mended, Still
from kiosk.core.session.handing import Handing
from kiosk.core.session.instructions import Instruction
from kiosk.core.session.remedies import remedy
from kiosk.core.session.shutter import Hold
from kiosk.core.view.choice import Guest, Search
from kiosk.core.view.intent import Ease
from kiosk.core.view.sitter import SheetFate, State

NEXT: Mapping[State, tuple[State, ...]] = {
    "welcome": ("choose", "find", "out_of_order"),
    "find": ("privacy", "printing", "welcome", "out_of_order"),
    "choose": ("prepare", "privacy", "welcome", "out_of_order"),
    "prepare": ("privacy", "choose", "welcome", "out_of_order"),
    "privacy": ("align", "prepare", "choose", "find", "printing", "welcome", "out_of_order"),
    "align": ("shooting", "review", "money_back", "welcome", "out_of_order"),
    "shooting": ("measuring", "align", "money_back", "welcome", "out_of_order"),
    "measuring": ("review", "align", "printing", "money_back", "welcome", "out_of_order"),
    "review": ("align", "copies", "release", "printing", "money_back", "welcome", "out_of_order"),
    "copies": ("review", "release", "paying", "printing", "money_back", "welcome", "out_of_order"),
    "release": ("paying", "printing", "money_back", "welcome", "out_of_order"),
    "paying": ("copies", "printing", "money_back", "welcome", "out_of_order"),
    "printing": ("collect", "unprinted", "find", "money_back", "welcome", "out_of_order"),
    "unprinted": ("printing", "money_back", "welcome", "out_of_order"),
    "collect": ("take_file", "thanks", "money_back", "welcome", "out_of_order"),
    "take_file": ("collect", "thanks", "money_back", "welcome", "out_of_order"),
    "money_back": ("welcome", "out_of_order"),
    "thanks": ("welcome", "out_of_order"),
    "out_of_order": ("welcome",),
}

USUAL_VOLUME = 2


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
    other
        The other photo that passed, where the sitter has taken two for their looks.
    last_photo
        The cropped photo of the last shot, whatever its judgement.
    failed
        The names of what failed in each shot so far.
    sheets, paper
        How many sheets are printed, and on which paper; empty for the usual one.
    account
        The sitter's money, where the booth is paid.
    handing
        The photo as a file, where the booth hands it over.
    fault, fault_key
        The sentence and the next step of what failed, and the key of its error.
    fate, news
        What became of the sitter's sheet, until somebody confirms to have read it; and what the devices have said
        since, which waits until then, or until a sitter whose photo is kept has left.
    headphones
        Whether headphones are in the jack, which outlasts a session as they do.
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
    headphones: bool = False
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
    other: Still | None = None
    last_photo: bytes = field(default=b"", repr=False)
    failed: tuple[str, ...] = ()
    sheets: int = 1
    paper: str = ""
    account: Account = field(default_factory=Account)
    handing: Handing = field(default_factory=Handing)
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
    kept_or_none = session if may_print(session, config) else replace(session, still=None, other=None)
    return coach(kept_or_none, config)


def coach(session: Session, config: BoothConfig) -> Transition:
    """Look, and begin with the first instruction."""
    document, where = session.document, session.where
    wanted = remedy(session.judged, session.failed)
    advice = Advice()
    if document is not None and where is not None:
        advice = unseen(live_limits(document, where, by_flash=config.by_flash), wanted)
    look = Look(True, session.turned_deg, tuple(still.number for still in kept_stills(session)))
    return replace(session, advice=advice, hold=Hold(), burst=Burst()), (look,)


def kept_stills(session: Session) -> tuple[Still, ...]:
    """Return the photos that the sitter can choose from, in the order in which they were taken."""
    kept = (still for still in (session.still, session.other) if still is not None)
    return tuple(sorted(kept, key=lambda still: still.number))


def without_photos(session: Session) -> Session:
    """Return the session without any photo of its sitter, which have been printed or are unwanted."""
    return replace(session, still=None, other=None, last_photo=b"")
