"""A shot from the first still of its burst to the judgement of the best, whatever goes wrong on the way.

Of the photos that passed the last two are kept; one that the sitter may decide for, though something in it is
doubtful, until a shot gives a better one.
"""

from __future__ import annotations

from dataclasses import replace

from kiosk.core.base.ticket import Ticket
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.burst import is_better
from kiosk.core.session.commands import Drop, Measure
from kiosk.core.session.events import Measured, ShotArrived, ShotFailed, Still
from kiosk.core.session.guest_step import badge
from kiosk.core.session.remedies import failing, is_stuck
from kiosk.core.session.state import Session, Transition, align, enter, order


def shot_step(
    session: Session, event: ShotArrived | ShotFailed | Measured, now_s: float, config: BoothConfig
) -> Transition:
    """Return the session, in `shooting` or `measuring`, after what came of a shot; another's changes nothing."""
    awaited = session.burst.ordered if session.state == "shooting" else None
    match event:
        case ShotArrived(ticket, jpeg) if ticket == awaited:
            return _arrived(session, jpeg, now_s)
        case ShotFailed(ticket) if ticket == awaited:
            return _cut_short(session, now_s, config)
        case ShotFailed(ticket):
            return _damaged(session, ticket, now_s, config)
        case Measured(ticket, still):
            return _measured(session, ticket, still, now_s, config)
    return session, ()


def _arrived(session: Session, jpeg: bytes, now_s: float) -> Transition:
    """Measure a still and, where the burst goes on, take the next meanwhile."""
    document = session.document
    if document is None:
        return session, ()
    measure = Measure(session.burst.ordered, jpeg, document, session.burst.newest + 1, session.turned_deg)
    session = replace(session, burst=session.burst.arrived(now_s))
    if session.burst.due:
        session, next_one = order(session, now_s)
        return session, (measure, next_one)
    return enter(session, "measuring", now_s), (measure,)


def _cut_short(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Go on with the stills that have come when the camera lost one; take the shot again where none has."""
    if not session.burst.came:
        return align(session, now_s, config)
    session = replace(enter(session, "measuring", now_s), burst=session.burst.cut_short())
    return _burst_over(session, now_s, config)


def _damaged(session: Session, ticket: Ticket, now_s: float, config: BoothConfig) -> Transition:
    """Go on without a still that could not be decoded."""
    number = session.burst.number(ticket)
    if number is None:
        return session, ()
    after, commands = _burst_over(replace(session, burst=session.burst.without(number)), now_s, config)
    return after, (Drop(number), *commands)


def _measured(session: Session, ticket: Ticket, still: Still, now_s: float, config: BoothConfig) -> Transition:
    """Keep the better of this still and the best until now."""
    number = session.burst.number(ticket)
    if number is None:
        return session, ()
    burst, dropped = session.burst.measured(number, still)
    after, commands = _burst_over(replace(session, burst=burst), now_s, config)
    return after, commands if dropped is None else (Drop(dropped), *commands)


def _burst_over(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Judge the best still once all that came are measured."""
    if session.state == "shooting" or not session.burst.is_over:
        return session, ()
    if session.burst.best is None:
        return align(session, now_s, config)
    return _judge(session, session.burst.best, now_s, config)


def _judge(session: Session, new: Still, now_s: float, config: BoothConfig) -> Transition:
    """Keep this shot or the photo kept before it; show what is kept, or take another while shots are left.

    Whoever takes a photo again that passed wants another one: of two that pass both are kept, the new one chosen; of
    three, that one goes which was not chosen.
    """
    kept, other = session.still, session.other
    still, dropped = new, kept
    if kept is not None and kept.passed and new.passed:
        other, dropped = kept, other
    elif kept is not None and (kept.passed or not is_better(new, kept)):
        still, dropped = kept, new
    failed = (*session.failed, *failing(new.judgement))
    judged = replace(session, still=still, other=other, judged=new.judgement, last_photo=new.photo_jpeg, failed=failed)
    after, commands = _shown(judged, new.passed, now_s, config)
    return after, commands if dropped is None else (Drop(dropped.number), *commands)


def _shown(session: Session, has_passed: bool, now_s: float, config: BoothConfig) -> Transition:
    """Show the result, or take the photo again by itself while shots are left and nothing has failed twice."""
    if has_passed and session.guest is not None:
        return badge(session, now_s)
    is_over = session.judged is not None and is_stuck(session.judged, session.failed)
    if has_passed or is_over or session.shot >= config.shots:
        return enter(session, "review", now_s), ()
    return align(session, now_s, config)


def passed(session: Session) -> bool:
    """Return whether the still may be printed."""
    return session.still is not None and session.still.passed
