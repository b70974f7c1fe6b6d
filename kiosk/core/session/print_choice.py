"""From an accepted photo to the printer: how many sheets, on which paper, and who lets them be printed."""

from __future__ import annotations

from dataclasses import replace

from kiosk.core.session.events import Print
from kiosk.core.session.guest_step import badge
from kiosk.core.session.shots import passed
from kiosk.core.session.state import House, Outcome, Session, enter, sitter_decides
from kiosk.core.view.sitter import Intent


def sheet_intent(session: Session, intent: Intent, now_s: float, house: House) -> Outcome:
    """Return the session, in `review` or `copies`, after a tap on the way to the printer."""
    match session.state, intent.name:
        case "review", "accept" if passed(session):
            return _copies(session, now_s, house)
        case "review", "accept_doubt" if sitter_decides(session, house):
            return _copies(_doubt_accepted(session, accepted=True), now_s, house)
        case "copies", "sheets" if intent.argument in {str(count) for count in house.sheets}:
            return replace(session, sheets=int(intent.argument)), ()
        case "copies", "paper" if intent.argument in papers_of(session, house):
            return replace(session, paper=intent.argument), ()
        case "copies", "print":
            return _release(session, now_s, house)
        case "copies", "back":
            return enter(_doubt_accepted(session, accepted=False), "review", now_s), ()
    return session, ()


def _doubt_accepted(session: Session, *, accepted: bool) -> Session:
    """Return the session after the sitter has accepted what is doubtful in the photo, or has taken that back."""
    return session if session.still is None else replace(session, still=replace(session.still, accepted=accepted))


def offering(house: House, left: int | None) -> House:
    """Return what is offered while so many sheets are left by the count; None where nobody has counted."""
    if left is None or max(house.sheets) <= left:
        return house
    return replace(house, sheets=tuple(count for count in house.sheets if count <= left) or (1,))


def papers_of(session: Session, house: House) -> tuple[str, ...]:
    """Return the papers that the document's photos can be printed on; none where there is no choice."""
    return () if session.document is None else house.papers.get(session.document.id, ())


def _copies(session: Session, now_s: float, house: House) -> Outcome:
    """Let the sitter choose sheets and paper, where there is a choice; the usual ones are chosen already."""
    papers = papers_of(session, house)
    session = replace(session, sheets=house.sheets[0], paper=papers[0] if papers else "")
    if session.guest is None and (len(papers) > 1 or len(house.sheets) > 1):
        return enter(session, "copies", now_s), ()
    return _release(session, now_s, house)


def _release(session: Session, now_s: float, house: House) -> Outcome:
    """Print at once, or wait for the attendant."""
    if session.guest is not None:
        return badge(session, now_s)
    if house.release == "attendant":
        return enter(session, "release", now_s), ()
    return print_sheets(session, now_s)


def print_sheets(session: Session, now_s: float) -> Outcome:
    """Print what was chosen."""
    still = session.still
    plan = still.judgement.plan if still else None
    if still is None or plan is None or session.document is None:
        return session, ()
    printing = replace(enter(session, "printing", now_s), print_state="waiting")
    sheet = Print(
        now_s,
        plan,
        session.document,
        still.override is not None,
        session.turned_deg,
        sheets=session.sheets,
        paper=session.paper,
        not_certain=still.not_certain,
    )
    return printing, (sheet,)
