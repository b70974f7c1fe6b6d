"""The session: a sitter's way from welcome to collect, as a table of states and one pure step.

    welcome -> choose -> privacy -> align -> shooting -> measuring -> review -> printing -> collect -> welcome
                                      ^____________________/  (a shot that does not pass is taken again)

Any state may fall to `out_of_order` when a device fails for good, and comes back to `welcome` when it answers again.
`step` takes what has happened and returns the session after it with the commands for the devices; it calls nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from kiosk.core.coach import Advice, advise, live_limits
from kiosk.core.events import (
    Command,
    Ending,
    Event,
    Failed,
    Look,
    Measure,
    Measured,
    Mended,
    Print,
    PrintMoved,
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
from kiosk.core.rules import Document
from kiosk.core.shutter import Hold, hold
from kiosk.core.view import Intent, Price, State

NEXT: Mapping[State, tuple[State, ...]] = {
    "welcome": ("choose", "out_of_order"),
    "choose": ("privacy", "welcome", "out_of_order"),
    "privacy": ("align", "choose", "welcome", "out_of_order"),
    "align": ("shooting", "review", "welcome", "out_of_order"),
    "shooting": ("measuring", "align", "welcome", "out_of_order"),
    "measuring": ("review", "align", "welcome", "out_of_order"),
    "review": ("align", "printing", "welcome", "out_of_order"),
    "printing": ("collect", "welcome", "out_of_order"),
    "collect": ("welcome", "out_of_order"),
    "out_of_order": ("welcome",),
}


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
    idle_s
        Seconds without a sitter's action, or a device's answer, after which each state goes back to welcome.
    """

    documents: tuple[Document, ...]
    languages: tuple[str, ...] = ("en",)
    shots: int = 4
    still_px: tuple[int, int] = (1600, 2000)
    prices: Mapping[str, Price] = field(default_factory=dict)
    idle_s: Mapping[State, float] = field(
        default_factory=lambda: {
            "choose": 90.0,
            "privacy": 120.0,
            "align": 180.0,
            "shooting": 60.0,
            "measuring": 60.0,
            "review": 120.0,
            "printing": 600.0,
            "collect": 45.0,
        }
    )


@dataclass(frozen=True, slots=True)
class Session:
    """Where the sitter stands. `fault` is the sentence and the next step of what failed."""

    state: State = "welcome"
    since_s: float = 0.0
    active_s: float = 0.0
    language: str = "en"
    document: Document | None = None
    where: Framing | None = None
    advice: Advice = field(default_factory=Advice)
    hold: Hold = field(default_factory=Hold)
    shot: int = 0
    still: Still | None = None
    print_state: str = "waiting"
    fault: tuple[str, str] = ("", "")


Outcome = tuple[Session, tuple[Command, ...]]


def step(session: Session, event: Event, now_s: float, house: House) -> Outcome:
    """Return the session after `event`, and what the devices are to do."""
    if isinstance(event, Failed):
        return _out_of_order(session, event, now_s)
    if isinstance(event, Intent):
        return _intent(replace(session, active_s=now_s), event, now_s, house)
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
            limit_s = house.idle_s.get(session.state)
            if limit_s is not None and now_s - session.active_s > limit_s:
                return _time_out(session, now_s, house)
    return session, ()


def _intent(session: Session, intent: Intent, now_s: float, house: House) -> Outcome:
    """Return the session after a tap; a tap that has no meaning in this state changes nothing."""
    match session.state, intent.name:
        case _, "language" if intent.argument in house.languages:
            return replace(session, language=intent.argument), ()
        case "welcome", "start":
            return _enter(session, "choose", now_s), ()
        case "choose", "choose":
            document = next((d for d in house.documents if d.id == intent.argument), None)
            if document is not None:
                where = framing(document, *house.still_px)
                return replace(_enter(session, "privacy", now_s), document=document, where=where), ()
        case "privacy", "back":
            return _enter(session, "choose", now_s), ()
        case "privacy", "agree":
            return _align(session, now_s)
        case "review", "retake":
            return _align(replace(session, shot=0), now_s)
        case "review", "accept" if _passed(session):
            return _print(session, now_s)
        case (("choose" | "privacy" | "align" | "shooting" | "measuring" | "review"), "start_again"):
            return _leave(session, now_s, house, "abandoned")
        case "choose", "back":
            return _leave(session, now_s, house, "abandoned")
        case "collect", "done" | "start_again":
            return _welcome(session, now_s, house)
    return session, ()


def _print(session: Session, now_s: float) -> Outcome:
    plan = session.still.judgement.plan if session.still else None
    if plan is None or session.document is None:
        return session, ()
    printing = replace(_enter(session, "printing", now_s), print_state="waiting")
    return printing, (Print(now_s, plan, session.document),)


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
    return session.still is not None and session.still.judgement.verdict == "pass"


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
        case "collect":
            return _welcome(session, now_s, house)
        case "align":
            return _leave(session, now_s, house, "gave_up")
        case "shooting" | "measuring" | "printing":
            return _leave(session, now_s, house, "fault")
        case _:
            return _leave(session, now_s, house, "abandoned")


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
    down = Session(state="out_of_order", since_s=now_s, active_s=now_s, language=session.language, fault=fault)
    wipe: tuple[Command, ...] = () if session.state in ("welcome", "collect") else (Wipe("fault"),)
    return down, (Look(False), *wipe)
