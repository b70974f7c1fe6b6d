r"""The session: a sitter's way from welcome to collect, as a table of states and one pure step.

    welcome -> choose -> prepare -> privacy -> align -> shooting -> measuring -> review -> copies -> printing -> collect
                                                 ^____________________/                     \-> release -^
                                                 (a shot that does not pass is taken again)  \-> paying -^

A shot is a burst of stills, each measured while the next is taken; the best is kept and the others are dropped at once.

Where the shop has one paper and prints one sheet, and is not paid by the booth, `copies` is passed over. Where it is
paid, `paying` waits for the money, and `money_back` says what becomes of money that bought nothing.

Where the shop hands files over, a sitter can ask for one in `collect`, and takes it in `take_file`.

From `collect` it goes to `thanks` and back to `welcome`. Where the document's rules differ for children, the sitter
answers in `prepare` whose photo it is; `privacy` says what the rules for that age ask, and has the sitter's consent.

At an event a guest is found on the roster instead of choosing a document, and the badge is printed behind the back of
the next one: welcome -> find -> privacy -> align -> shooting -> measuring -> printing -> collect -> welcome.

Where the house wants it so, a sheet waits in `release` for the attendant. An attendant may pass a photo under review
that the measurements did not; its judgement stays as it was, with the attendant's reason beside it. Where the house
leaves it to the sitter, a photo in which nothing failed but something stays doubtful is printed at the sitter's wish,
and the best of those is kept while others are taken.

Any state may fall to `out_of_order` when a device fails for good, and comes back to `welcome` when it answers again;
where a sitter's sheet has failed, not before somebody has confirmed to have read what became of it. A photo whose
sheet the printer has failed waits in `unprinted` for its sitter, who has it printed again or wiped.
`step` takes what has happened and returns the session after it with the commands for the devices; it calls nothing.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from kiosk.core.base.measurement import Observation
from kiosk.core.judging.override import unprintable
from kiosk.core.session.age_rules import choose, of_age, ready
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.burst import Burst
from kiosk.core.session.coach import advise, live_limits
from kiosk.core.session.commands import Look, Wipe
from kiosk.core.session.endings import leave
from kiosk.core.session.events import (
    AgeTold,
    CallAnswered,
    Event,
    Failed,
    FileMoved,
    Measured,
    Mended,
    MoneyCame,
    MoneyReturned,
    Overridden,
    PaymentOver,
    PrinterStood,
    PrintMoved,
    Released,
    Seen,
    ShotArrived,
    ShotFailed,
    Tick,
)
from kiosk.core.session.file_step import file_moved, make_file, parting_intent
from kiosk.core.session.guest_step import guest_step
from kiosk.core.session.outage import can_shoot, mended, out_of_order, read
from kiosk.core.session.paying import end_payment, money_step, pay
from kiosk.core.session.print_choice import sheet_intent
from kiosk.core.session.shots import shot_step
from kiosk.core.session.shutter import Hold, hold
from kiosk.core.session.state import USUAL_VOLUME, Session, Transition, align, enter, kept_stills, order, without_photos
from kiosk.core.session.time_limits import tick
from kiosk.core.view.intent import EASE_NAMES, LOUDEST, Intent
from kiosk.core.view.sitter import State

GIVEN_UP: frozenset[State] = frozenset(
    {
        "choose",
        "prepare",
        "privacy",
        "align",
        "shooting",
        "measuring",
        "review",
        "copies",
        "release",
        "unprinted",
    }
)
"""The states in which a sitter can start again, after which everything is wiped."""


def step(session: Session, event: Event, now_s: float, config: BoothConfig) -> Transition:
    """Return the session after `event`, and what the devices are to do."""
    if isinstance(event, Failed):
        return out_of_order(session, event, now_s, config)
    if isinstance(event, Intent):
        session = replace(session, active_s=now_s)
    if config.reception is not None and (outcome := guest_step(session, event, now_s, config)) is not None:
        return outcome
    if isinstance(event, Intent):
        return _intent(session, event, now_s, config)
    if isinstance(event, Overridden | AgeTold | Released | CallAnswered):
        return _attended(replace(session, active_s=now_s), event, now_s, config)
    match session.state, event:
        case "align", Seen(observation):
            return _watch(session, observation, now_s, config)
        case "shooting" | "measuring", ShotArrived() | ShotFailed() | Measured():
            return shot_step(session, event, now_s, config)
        case "printing", PrintMoved(state):
            return _print_moved(session, state, now_s, config)
        case _, FileMoved():
            return file_moved(session, event, now_s)
        case _, PrinterStood() | MoneyCame() | MoneyReturned() | PaymentOver():
            return money_step(session, event, now_s, config)
        case _, Mended() if session.state == "out_of_order" or session.news is not None:
            return mended(session, event, now_s, config)
        case _, Tick():
            return tick(session, now_s, config)
    return session, ()


def _print_moved(
    session: Session, state: Literal["printing", "held", "done"], now_s: float, config: BoothConfig
) -> Transition:
    if state != "done":
        return replace(session, print_state=state, active_s=now_s), ()
    session, making = make_file(session, config)
    done = replace(without_photos(enter(session, "collect", now_s)), print_state=state)
    return done, (*making, Wipe("printed"))


def _attended(
    session: Session, event: Overridden | AgeTold | Released | CallAnswered, now_s: float, config: BoothConfig
) -> Transition:
    """Return the session after what the attendant did for the sitter."""
    match session.state, event:
        case "review", Overridden(reason) if session.still and not unprintable(session.still.judgement):
            return replace(session, still=replace(session.still, override=reason), called=False), ()
        case "release", Released():
            return pay(session, now_s, config)
        case _, AgeTold(age_years):
            return of_age(session, age_years, now_s, config)
        case _, CallAnswered():
            return replace(session, called=False), ()
    return session, ()


def _intent(session: Session, intent: Intent, now_s: float, config: BoothConfig) -> Transition:
    """Return the session after a tap; a tap that has no meaning in this state changes nothing."""
    match session.state, intent.name:
        case _, "language" | "call" | "ease" | "volume" | "headphones":
            return _anywhere(session, intent, config), ()
        case "welcome", "start":
            return enter(session, "choose", now_s), ()
        case "choose", "choose":
            return choose(session, intent.argument, now_s, config)
        case "prepare", "ready":
            return ready(session, intent.argument, now_s, config)
        case "choose" | "prepare" | "privacy", "back":
            return _back(session, now_s, config)
        case "privacy", "agree":
            return align(session, now_s, config)
        case "review", "retake" | "pick":
            return _other_photo(session, intent, now_s, config)
        case state, "start_again" if state in GIVEN_UP:
            return leave(session, now_s, config, "abandoned")
        case ("review", "accept" | "accept_doubt") | ("copies", _) | ("unprinted", "retry"):
            return sheet_intent(session, intent, now_s, config)
        case "out_of_order", "done":
            return read(session, now_s, config)
        case "paying", "cancel":
            return end_payment(session, now_s)
        case "collect" | "take_file" | "money_back" | "thanks", _:
            return parting_intent(session, intent, now_s, config)
    return session, ()


def _back(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Return the session at the screen before this one."""
    if session.state == "choose":
        return leave(session, now_s, config, "abandoned")
    chosen = next((d for d in config.documents if session.document and d.id == session.document.id), None)
    asks = session.state == "privacy" and chosen is not None and bool(chosen.ages)
    return enter(session, "prepare" if asks else "choose", now_s), ()


def _other_photo(session: Session, intent: Intent, now_s: float, config: BoothConfig) -> Transition:
    """Take another photo, or choose the other one of two."""
    if intent.name == "retake":
        return align(replace(session, shot=0), now_s, config) if can_shoot(session) else (session, ())
    if session.other is not None and intent.argument == str(session.other.number):
        return replace(session, still=session.other, other=session.still), ()
    return session, ()


def _anywhere(session: Session, intent: Intent, config: BoothConfig) -> Session:
    """Return the session after a tap that means the same in every state."""
    match intent.name:
        case "language" if intent.argument in config.languages:
            return replace(session, language=intent.argument)
        case "call" if config.attended:
            return replace(session, called=True)
        case "volume" if intent.argument in ("-1", "1"):
            return replace(session, volume=min(max(session.volume + int(intent.argument), 0), LOUDEST))
        case "headphones":
            is_in = intent.argument == "in"
            return replace(session, headphones=is_in, volume=max(session.volume, USUAL_VOLUME) if is_in else 0)
        case "ease" if intent.argument in EASE_NAMES:
            changed = {intent.argument: not getattr(session.ease, intent.argument)}
            if intent.argument == "seat_stays" and changed["seat_stays"]:
                changed["low_controls"] = True
            return replace(session, ease=replace(session.ease, **changed))
    return session


def _watch(session: Session, seen: Observation, now_s: float, config: BoothConfig) -> Transition:
    """Coach on one live picture, and shoot when everything has held."""
    if session.document is None or session.where is None:
        return session, ()
    limits = live_limits(session.document, session.where, by_flash=config.by_flash)
    advice = advise(session.advice, seen, limits, now_s)
    held = hold(session.hold, seen, advice.all_kept, now_s, session.care)
    active_s = now_s if advice.replaces(session.advice.instruction) else session.active_s
    session = replace(session, advice=advice, hold=held, active_s=active_s)
    if not held.complete(now_s):
        return session, ()
    burst = Burst(config.burst, after=max((still.number for still in kept_stills(session)), default=0))
    shot = replace(enter(session, "shooting", now_s), shot=session.shot + 1, hold=Hold(), burst=burst)
    shot, first = order(shot, now_s)
    return shot, (Look(False), first)
