"""An event: a guest is found on the roster, photographed, and goes on while the badge is printed."""

from __future__ import annotations

from dataclasses import replace

from kiosk.core.events import BadgeRefused, BadgeSent, Event, Find, Found, PrintBadge, Wipe
from kiosk.core.framing import framing
from kiosk.core.view import Intent
from kiosk.core.visit import House, Outcome, Session, enter, leave


def guest_step(session: Session, event: Event, now_s: float, house: House) -> Outcome | None:
    """Return the session after what only an event meets; None where the event means the same in every booth."""
    if isinstance(event, Intent):
        return _intent(session, event, now_s, house)
    match session.state, event:
        case "find", Found(search) if search.query == session.search.query:
            return replace(session, search=search), ()
        case "printing", BadgeSent(ticket) if ticket == session.since_s:
            sent = replace(enter(session, "collect", now_s), still=None, print_state="printing")
            return sent, (Wipe("printed"),)
        case "printing", BadgeRefused(ticket, sentence, next_step) if ticket == session.since_s:
            return _refused(session, (sentence, next_step), now_s)
    return None


def _intent(session: Session, intent: Intent, now_s: float, house: House) -> Outcome | None:
    """Return the session after a tap that only an event has; None where it means the same in every booth."""
    match session.state, intent.name:
        case "welcome", "start":
            return enter(session, "find", now_s), (Find(""),)
        case "find", "type" if intent.argument:
            return _searching(session, session.search.query + intent.argument)
        case "find", "erase":
            return _searching(session, session.search.query[:-1])
        case "find", "guest":
            return _chosen(session, intent.argument, now_s, house)
        case "find", "back" | "start_again":
            return leave(session, now_s, house, "abandoned")
        case "privacy" | "review", "without_photo":
            return badge(replace(session, still=None), now_s)
        case "privacy", "share" if house.reception is not None and house.reception.shared_until is not None:
            return replace(session, shares=not session.shares), ()
        case "privacy", "back":
            return replace(enter(session, "find", now_s), guest=None), ()
    return None


def badge(session: Session, now_s: float) -> Outcome:
    """Print the guest's badge, with the photo that was judged or without."""
    assert session.guest is not None
    plan = session.still.judgement.plan if session.still else None
    printing = replace(enter(session, "printing", now_s), print_state="waiting")
    return printing, (PrintBadge(now_s, session.guest, plan, session.shares),)


def _searching(session: Session, query: str) -> Outcome:
    """Show the new letters at once, with what fitted the old ones until the roster has answered."""
    return replace(session, search=replace(session.search, query=query), fault=("", "")), (Find(query),)


def _chosen(session: Session, guest_id: str, now_s: float, house: House) -> Outcome:
    """Go on with the guest who was touched, unless their badge was printed before."""
    guest = next((one for one in session.search.guests if one.id == guest_id), None)
    if guest is None or guest.has_badge or house.reception is None:
        return session, ()
    session = replace(session, guest=guest, found_s=now_s, fault=("", ""))
    document = house.reception.document
    if document is None:
        return badge(session, now_s)
    where = framing(document, *house.still_px)
    return replace(enter(session, "privacy", now_s), document=document, where=where), ()


def _refused(session: Session, why: tuple[str, str], now_s: float) -> Outcome:
    """Go back to the search and say why; what was photographed is gone."""
    again = Session(state=session.state, language=session.language, ease=session.ease, volume=session.volume, fault=why)
    return enter(again, "find", now_s), (Wipe("fault"), Find(""))
