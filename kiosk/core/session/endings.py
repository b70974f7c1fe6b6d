"""How a session ends: at the welcome, at a closed booth, or first with a word on the sitter's money."""

from __future__ import annotations

from dataclasses import replace

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import Ending, Look, Wipe
from kiosk.core.session.events import Failed, Mended
from kiosk.core.session.state import Session, Transition, enter


def leave(session: Session, now_s: float, config: BoothConfig, ending: Ending) -> Transition:
    """Wipe and go back to welcome, or first say what becomes of the sitter's money."""
    fresh, _ = welcome(session, now_s, config) if session.account.credit == 0 else money_back(session, now_s)
    return fresh, (Look(False), Wipe(ending))


def money_back(session: Session, now_s: float) -> Transition:
    """Say what becomes of the money that bought nothing; nothing else of the sitter is kept."""
    fresh = Session(
        state=enter(session, "money_back", now_s).state,
        since_s=now_s,
        active_s=now_s,
        language=session.language,
        ease=session.ease,
        volume=session.volume,
        ticket=session.ticket,
        account=session.account,
        fate=session.fate,
        news=session.news,
    )
    return fresh, ()


def welcome(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Begin anew, or close where a device has failed meanwhile, or a sheet's fate has not been read."""
    if isinstance(session.news, Failed):
        return replace(closed(session, session.news, now_s), fate=session.fate), ()
    if session.fate is not None:
        past = Failed(*session.fault, session.fault_key)
        return replace(closed(session, past, now_s), fate=session.fate, news=Mended()), ()
    state = enter(session, "welcome", now_s).state
    language = config.languages[0]
    fresh = Session(state=state, since_s=now_s, active_s=now_s, language=language, ticket=session.ticket)
    return replace(fresh, headphones=session.headphones), ()


def closed(session: Session, failed: Failed, now_s: float) -> Session:
    """Return the session of a booth that a device keeps from working, without anything of the sitter's but the ease."""
    return Session(
        state="out_of_order",
        since_s=now_s,
        active_s=now_s,
        language=session.language,
        ease=session.ease,
        volume=session.volume,
        headphones=session.headphones,
        ticket=session.ticket,
        fault=(failed.sentence, failed.next_step),
        fault_key=failed.key,
    )
