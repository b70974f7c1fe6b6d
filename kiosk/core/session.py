r"""The session: a sitter's way from welcome to collect, as a table of states and one pure step.

    welcome -> choose -> prepare -> privacy -> align -> shooting -> measuring -> review -> printing -> collect
                                                 ^____________________/           \-> release -^
                                                 (a shot that does not pass is taken again)

From `collect` it goes to `thanks` and back to `welcome`. `prepare` says what the document asks; where its rules differ
for children, the sitter answers whose photo it is, and the session goes on with the rules for that age.

Where the house wants it so, a sheet waits in `release` for the attendant. An attendant may pass a photo under review
that the measurements did not; its judgement stays as it was, with the attendant's reason beside it.

Any state may fall to `out_of_order` when a device fails for good, and comes back to `welcome` when it answers again.
`step` takes what has happened and returns the session after it with the commands for the devices; it calls nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from kiosk.core.coach import Advice, advise, live_limits
from kiosk.core.events import (
    CallAnswered,
    Command,
    Ending,
    Event,
    Failed,
    Look,
    Measure,
    Measured,
    Mended,
    Overridden,
    Print,
    PrintMoved,
    Released,
    Seen,
    Shoot,
    ShotArrived,
    ShotFailed,
    Still,
    Tick,
    Wipe,
)
from kiosk.core.framing import Framing, framing
from kiosk.core.measurement import Observation
from kiosk.core.override import unprintable
from kiosk.core.rules import Document
from kiosk.core.shutter import Hold, hold
from kiosk.core.view import EASE_NAMES, LOUDEST, Ease, Intent, Price, State

NEXT: Mapping[State, tuple[State, ...]] = {
    "welcome": ("choose", "out_of_order"),
    "choose": ("prepare", "welcome", "out_of_order"),
    "prepare": ("privacy", "choose", "welcome", "out_of_order"),
    "privacy": ("align", "prepare", "welcome", "out_of_order"),
    "align": ("shooting", "review", "welcome", "out_of_order"),
    "shooting": ("measuring", "align", "welcome", "out_of_order"),
    "measuring": ("review", "align", "welcome", "out_of_order"),
    "review": ("align", "release", "printing", "welcome", "out_of_order"),
    "release": ("printing", "welcome", "out_of_order"),
    "printing": ("collect", "welcome", "out_of_order"),
    "collect": ("thanks", "welcome", "out_of_order"),
    "thanks": ("welcome", "out_of_order"),
    "out_of_order": ("welcome",),
}

USUAL_VOLUME = 2

FORGET_S = 60.0
"""How long the welcome screen keeps the language and the ease that somebody chose and left (practice)."""


@dataclass(frozen=True, slots=True)
class House:
    """What the booth is set to.

    Attributes
    ----------
    documents
        Those offered, in the order of the list.
    shots
        How many shots are tried before a person is asked.
    still_px
        Width and height of the camera's stills.
    prices
        What a sheet costs, by the document's id, where a price is shown.
    release
        Who lets a sheet be printed: `free` prints at once, `attendant` waits for one.
    attended
        Whether there is an attendant who can be called.
    has_voice
        Whether the booth can speak.
    called_s
        How long a sitter who has called may wait for the attendant.
    idle_s
        Seconds without a sitter's action, or a device's answer, after which each state goes back to welcome.
    """

    documents: tuple[Document, ...]
    languages: tuple[str, ...] = ("en",)
    shots: int = 4
    still_px: tuple[int, int] = (1600, 2000)
    prices: Mapping[str, Price] = field(default_factory=dict)
    release: Literal["free", "attendant"] = "free"
    attended: bool = False
    has_voice: bool = False
    called_s: float = 600.0
    idle_s: Mapping[State, float] = field(
        default_factory=lambda: {
            "choose": 90.0,
            "prepare": 120.0,
            "privacy": 120.0,
            "align": 180.0,
            "shooting": 60.0,
            "measuring": 60.0,
            "review": 120.0,
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
    fault
        The sentence and the next step of what failed.
    called
        Whether the sitter has called the attendant, who has not come yet.
    """

    state: State = "welcome"
    since_s: float = 0.0
    active_s: float = 0.0
    language: str = "en"
    ease: Ease = field(default_factory=Ease)
    volume: int = USUAL_VOLUME
    document: Document | None = None
    where: Framing | None = None
    advice: Advice = field(default_factory=Advice)
    hold: Hold = field(default_factory=Hold)
    shot: int = 0
    still: Still | None = None
    print_state: str = "waiting"
    fault: tuple[str, str] = ("", "")
    called: bool = False


Outcome = tuple[Session, tuple[Command, ...]]


def step(session: Session, event: Event, now_s: float, house: House) -> Outcome:
    """Return the session after `event`, and what the devices are to do."""
    if isinstance(event, Failed):
        return _out_of_order(session, event, now_s)
    if isinstance(event, Intent):
        return _intent(replace(session, active_s=now_s), event, now_s, house)
    if isinstance(event, Overridden | Released | CallAnswered):
        return _attended(replace(session, active_s=now_s), event, now_s)
    match session.state, event:
        case "align", Seen(observation):
            return _watch(session, observation, now_s, house)
        case "shooting", ShotArrived(jpeg) if session.document is not None:
            return _enter(session, "measuring", now_s), (Measure(now_s, jpeg, session.document),)
        case "shooting" | "measuring", ShotFailed():
            return _align(session, now_s)
        case "measuring", Measured(ticket, still) if ticket == session.since_s:
            return _judge(replace(session, still=still), now_s, house)
        case "printing", PrintMoved("printing"):
            return replace(session, print_state="printing"), ()
        case "printing", PrintMoved("done"):
            done = replace(_enter(session, "collect", now_s), still=None, print_state="done")
            return done, (Wipe("printed"),)
        case "out_of_order", Mended():
            return _welcome(session, now_s, house)
        case _, Tick():
            return _tick(session, now_s, house)
    return session, ()


def _tick(session: Session, now_s: float, house: House) -> Outcome:
    """Go home from a state in which nothing has happened for too long; at home, forget a call that nobody answered."""
    idle_s = now_s - session.active_s
    if session.state == "welcome":
        called = session.called and idle_s <= house.called_s
        if idle_s > FORGET_S:
            session = replace(session, language=house.languages[0], ease=Ease(), volume=USUAL_VOLUME)
        return replace(session, called=called), ()
    limit_s = idle_limit_s(session, house)
    if limit_s is not None and idle_s > limit_s:
        return _time_out(session, now_s, house)
    return session, ()


def _attended(session: Session, event: Overridden | Released | CallAnswered, now_s: float) -> Outcome:
    """Return the session after what the attendant did for the sitter."""
    match session.state, event:
        case "review", Overridden(reason) if session.still and not unprintable(session.still.judgement):
            return replace(session, still=replace(session.still, override=reason), called=False), ()
        case "release", Released():
            return _print(session, now_s)
        case _, CallAnswered():
            return replace(session, called=False), ()
    return session, ()


def idle_limit_s(session: Session, house: House) -> float | None:
    """Return after how many seconds without an action the session starts again; None where it never does."""
    limit_s = house.idle_s.get(session.state)
    return limit_s if limit_s is None or not session.called else max(limit_s, house.called_s)


def _intent(session: Session, intent: Intent, now_s: float, house: House) -> Outcome:
    """Return the session after a tap; a tap that has no meaning in this state changes nothing."""
    match session.state, intent.name:
        case _, "language" | "call" | "ease" | "volume":
            return _anywhere(session, intent, house), ()
        case "welcome", "start":
            return _enter(session, "choose", now_s), ()
        case "choose", "choose":
            document = next((d for d in house.documents if d.id == intent.argument), None)
            if document is not None:
                where = framing(document, *house.still_px)
                return replace(_enter(session, "prepare", now_s), document=document, where=where), ()
        case "prepare", "ready":
            return _ready(session, intent.argument, now_s, house)
        case "prepare" | "privacy", "back":
            return _enter(session, "choose" if session.state == "prepare" else "prepare", now_s), ()
        case "privacy", "agree":
            return _align(session, now_s)
        case "review", "retake":
            return _align(replace(session, shot=0), now_s)
        case "review", "accept" if _passed(session):
            return _release(session, now_s, house)
        case (
            ("choose" | "prepare" | "privacy" | "align" | "shooting" | "measuring" | "review" | "release"),
            "start_again",
        ):
            return _leave(session, now_s, house, "abandoned")
        case "choose", "back":
            return _leave(session, now_s, house, "abandoned")
        case "collect" | "thanks", "done" | "start_again":
            return _farewell(session, now_s, house)
    return session, ()


def _release(session: Session, now_s: float, house: House) -> Outcome:
    """Print at once, or wait for the attendant."""
    if house.release == "attendant":
        return _enter(session, "release", now_s), ()
    return _print(session, now_s)


def _ready(session: Session, age: str, now_s: float, house: House) -> Outcome:
    """Go on to the privacy notice with the rules for the sitter's age."""
    document = next((d for d in house.documents if session.document and d.id == session.document.id), None)
    if document is None or (document.ages and age not in {str(known) for known in document.ages}):
        return session, ()
    if document.ages:
        document = document.for_age(int(age))
    where = framing(document, *house.still_px)
    return replace(_enter(session, "privacy", now_s), document=document, where=where), ()


def _anywhere(session: Session, intent: Intent, house: House) -> Session:
    """Return the session after a tap that means the same in every state."""
    match intent.name:
        case "language" if intent.argument in house.languages:
            return replace(session, language=intent.argument)
        case "call" if house.attended:
            return replace(session, called=True)
        case "volume" if intent.argument in ("-1", "1"):
            return replace(session, volume=min(max(session.volume + int(intent.argument), 0), LOUDEST))
        case "ease" if intent.argument in EASE_NAMES:
            changed = {intent.argument: not getattr(session.ease, intent.argument)}
            return replace(session, ease=replace(session.ease, **changed))
    return session


def _print(session: Session, now_s: float) -> Outcome:
    plan = session.still.judgement.plan if session.still else None
    if plan is None or session.document is None:
        return session, ()
    printing = replace(_enter(session, "printing", now_s), print_state="waiting")
    overridden = session.still is not None and session.still.override is not None
    return printing, (Print(now_s, plan, session.document, overridden),)


def _watch(session: Session, seen: Observation, now_s: float, house: House) -> Outcome:
    """Coach on one live picture, and shoot when everything has held."""
    if session.document is None or session.where is None:
        return session, ()
    limits = live_limits(session.document, session.where)
    advice = advise(session.advice, seen, limits, now_s)
    held = hold(session.hold, seen, advice.all_kept, now_s)
    active_s = now_s if advice.instruction is not session.advice.instruction else session.active_s
    session = replace(session, advice=advice, hold=held, active_s=active_s)
    if not held.complete(now_s):
        return session, ()
    shot = replace(_enter(session, "shooting", now_s), shot=session.shot + 1, hold=Hold())
    return shot, (Look(False), Shoot())


def _judge(session: Session, now_s: float, house: House) -> Outcome:
    """Show the result, or take the photo again by itself while shots are left."""
    if _passed(session) or session.shot >= house.shots:
        return _enter(session, "review", now_s), ()
    return _align(session, now_s)


def _passed(session: Session) -> bool:
    return session.still is not None and session.still.passed


def _enter(session: Session, state: State, now_s: float) -> Session:
    if state not in NEXT[session.state]:
        raise ValueError(f"no way from {session.state} to {state}")
    return replace(session, state=state, since_s=now_s, active_s=now_s)


def _align(session: Session, now_s: float) -> Outcome:
    """Coach from the start; the last still's reasons stay for the screen."""
    session = replace(_enter(session, "align", now_s), advice=Advice(), hold=Hold())
    return session, (Look(True),)


def _time_out(session: Session, now_s: float, house: House) -> Outcome:
    match session.state:
        case "collect" | "thanks":
            return _farewell(session, now_s, house)
        case "align":
            return _leave(session, now_s, house, "gave_up")
        case "shooting" | "measuring" | "printing":
            return _leave(session, now_s, house, "fault")
        case _:
            return _leave(session, now_s, house, "abandoned")


def _farewell(session: Session, now_s: float, house: House) -> Outcome:
    """Thank the sitter, of whom nothing is kept any more, and then welcome the next."""
    if session.state == "collect":
        return _enter(session, "thanks", now_s), ()
    return _welcome(session, now_s, house)


def _leave(session: Session, now_s: float, house: House, ending: Ending) -> Outcome:
    """Wipe and go back to welcome."""
    fresh, _ = _welcome(session, now_s, house)
    return fresh, (Look(False), Wipe(ending))


def _welcome(session: Session, now_s: float, house: House) -> Outcome:
    state = _enter(session, "welcome", now_s).state
    return Session(state=state, since_s=now_s, active_s=now_s, language=house.languages[0]), ()


def _out_of_order(session: Session, failed: Failed, now_s: float) -> Outcome:
    fault = (failed.sentence, failed.next_step)
    if session.state == "out_of_order":
        return replace(session, fault=fault), ()
    down = Session(
        state="out_of_order",
        since_s=now_s,
        active_s=now_s,
        language=session.language,
        ease=session.ease,
        volume=session.volume,
        fault=fault,
    )
    wipe: tuple[Command, ...] = () if session.state in ("welcome", "collect") else (Wipe("fault"),)
    return down, (Look(False), *wipe)
