"""An event: a guest is found on the roster, photographed, and goes on while the badge is printed."""

from __future__ import annotations

from dataclasses import replace

from kiosk.core.event.roster import can_be_id
from kiosk.core.judging.framing import framing
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import Find, Look, LookUp, PrintBadge, ReadCodes, Wipe
from kiosk.core.session.endings import leave
from kiosk.core.session.events import BadgeRefused, BadgeSent, CodeKnown, CodesSeen, Event, Found, GuestSent
from kiosk.core.session.state import Session, Transition, enter, enter_printing, without_photos
from kiosk.core.view.attendant import BadgeWay
from kiosk.core.view.choice import Guest
from kiosk.core.view.intent import Intent

CODE_GONE_S = 2.0
"""How long a code must be out of view before it counts again, so that one left in view is reported only once."""


def guest_step(session: Session, event: Event, now_s: float, config: BoothConfig) -> Transition | None:
    """Return the session after what only an event meets; None where the event means the same in every booth."""
    if isinstance(event, Intent):
        return _intent(session, event, now_s, config)
    match session.state, event:
        case "find", Found(search) if search.query == session.search.query:
            return replace(session, search=search), ()
        case "find", CodesSeen(codes):
            return _held_up(session, codes, now_s)
        case "find", CodeKnown(_, guest):
            return _code_known(session, guest, now_s, config)
        case "welcome" | "find", GuestSent(guest, way):
            return _sent(session, guest, way, now_s, config)
        case "printing", BadgeSent(ticket) if ticket == session.ticket:
            sent = replace(without_photos(enter(session, "collect", now_s)), print_state="printing")
            return sent, (Wipe("printed"),)
        case "printing", BadgeRefused(ticket, sentence, next_step) if ticket == session.ticket:
            return _refused(session, (sentence, next_step), now_s)
    return None


def _intent(session: Session, intent: Intent, now_s: float, config: BoothConfig) -> Transition | None:
    """Return the session after a tap that only an event has; None where it means the same in every booth."""
    match session.state, intent.name:
        case "welcome", "start":
            return enter(session, "find", now_s), (ReadCodes(), Find(""))
        case "find", "type" if intent.argument:
            return _searching(session, session.search.query + intent.argument)
        case "find", "erase":
            return _searching(session, session.search.query[:-1])
        case "find", "guest":
            touched = next((one for one in session.search.guests if one.id == intent.argument), None)
            return (session, ()) if touched is None else _chosen(session, touched, now_s, config)
        case "find", "back" | "start_again":
            return leave(session, now_s, config, "abandoned")
        case "privacy" | "review", "without_photo":
            return badge(without_photos(session), now_s)
        case "privacy", "share" if config.reception is not None and config.reception.shared_until is not None:
            return replace(session, shares=not session.shares), ()
        case "privacy", "back":
            in_view = tuple((code, now_s) for code, _ in session.codes)
            return replace(enter(session, "find", now_s), guest=None, codes=in_view), (ReadCodes(),)
    return None


def badge(session: Session, now_s: float, *, from_kept: bool = False) -> Transition:
    """Print the guest's badge, with the photo that was judged, the one that was kept, or without."""
    assert session.guest is not None
    plan = session.still.judgement.plan if session.still else None
    printing = enter_printing(session, now_s)
    has_badge = session.guest.has_badge
    return printing, (PrintBadge(printing.ticket, session.guest, plan, session.shares, has_badge, from_kept),)


def _sent(session: Session, guest: Guest, way: BadgeWay, now_s: float, config: BoothConfig) -> Transition:
    """Go on with a guest whom the attendant sends, also with one who has a badge."""
    if session.state == "welcome":
        session = enter(session, "find", now_s)
    if way == "new_photo":
        return _going_on(session, guest, now_s, config)
    going = replace(session, guest=guest, found_s=now_s, fault=("", ""), shares=False)
    printing, commands = badge(going, now_s, from_kept=way == "kept_photo")
    return printing, (Look(False), *commands)


def _searching(session: Session, query: str) -> Transition:
    """Show the new letters at once, with what fitted the old ones until the roster has answered."""
    search = replace(session.search, query=query, unknown_code=False)
    return replace(session, search=search, fault=("", "")), (Find(query),)


def _held_up(session: Session, codes: tuple[str, ...], now_s: float) -> Transition:
    """Look up the codes that have come into view; one that cannot be an id is nobody's."""
    in_view = {code: seen_s for code, seen_s in session.codes if now_s - seen_s < CODE_GONE_S}
    fresh = [code for code in codes if code not in in_view]
    session = replace(session, codes=tuple({**in_view, **dict.fromkeys(codes, now_s)}.items()))
    if not fresh:
        return session, ()
    possible = tuple(LookUp(code) for code in fresh if can_be_id(code))
    search = session.search if possible else replace(session.search, unknown_code=True)
    return replace(session, active_s=now_s, search=search), possible


def _code_known(session: Session, guest: Guest | None, now_s: float, config: BoothConfig) -> Transition:
    """Go on with the guest whose code it is; show who has a badge, and say of another code that it is nobody's."""
    if guest is None:
        return replace(session, search=replace(session.search, unknown_code=True), fault=("", "")), ()
    shown = replace(session.search, guests=(guest,), unknown_code=False)
    return _chosen(replace(session, search=shown, fault=("", "")), guest, now_s, config)


def _chosen(session: Session, guest: Guest, now_s: float, config: BoothConfig) -> Transition:
    """Go on with a guest, unless their badge was printed before."""
    return (session, ()) if guest.has_badge else _going_on(session, guest, now_s, config)


def _going_on(session: Session, guest: Guest, now_s: float, config: BoothConfig) -> Transition:
    """Ask a guest whether the camera may look; the live pictures are not read any more."""
    assert config.reception is not None
    session = replace(session, guest=guest, found_s=now_s, fault=("", ""))
    document = config.reception.document
    if document is None:
        printing, commands = badge(session, now_s)
        return printing, (Look(False), *commands)
    where = framing(document, *config.still_px)
    return replace(enter(session, "privacy", now_s), document=document, where=where), (Look(False),)


def _refused(session: Session, why: tuple[str, str], now_s: float) -> Transition:
    """Go back to the search and say why; what was photographed is gone."""
    again = Session(
        state=session.state,
        language=session.language,
        ease=session.ease,
        volume=session.volume,
        headphones=session.headphones,
        ticket=session.ticket,
        fault=why,
    )
    return enter(again, "find", now_s), (Wipe("fault"), ReadCodes(), Find(""))
