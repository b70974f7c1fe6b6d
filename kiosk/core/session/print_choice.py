"""From an accepted photo to its printing: how many sheets, on which paper, and who lets them be printed."""

from __future__ import annotations

from dataclasses import replace

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.guest_step import badge
from kiosk.core.session.paying import is_stopped, pay, priced, print_sheets
from kiosk.core.session.shots import passed
from kiosk.core.session.state import Session, Transition, enter, sitter_decides
from kiosk.core.view.intent import Intent


def sheet_intent(session: Session, intent: Intent, now_s: float, config: BoothConfig) -> Transition:
    """Return the session after a tap on the way to the printer, in `review`, `copies` or `unprinted`."""
    match session.state, intent.name:
        case "review", "accept" if passed(session):
            return _copies(session, now_s, config)
        case "review", "accept_doubt" if sitter_decides(session, config):
            return _copies(_doubt_accepted(session, accepted=True), now_s, config)
        case "copies", "sheets" if intent.argument in {str(count) for count in config.sheets}:
            return priced(replace(session, sheets=int(intent.argument)), config), ()
        case "copies", "paper" if intent.argument in papers_of(session, config):
            return priced(replace(session, paper=intent.argument), config), ()
        case "copies", "print" if not is_stopped(session):
            return _release(session, now_s, config)
        case "unprinted", "retry":
            return print_sheets(session, now_s, config)
        case "copies", "back":
            return enter(_doubt_accepted(session, accepted=False), "review", now_s), ()
    return session, ()


def _doubt_accepted(session: Session, *, accepted: bool) -> Session:
    """Return the session after the sitter has accepted what is doubtful in the photo, or has taken that back."""
    return session if session.still is None else replace(session, still=replace(session.still, accepted=accepted))


def offering(config: BoothConfig, left: int | None) -> BoothConfig:
    """Return what is offered while so many sheets are left by the count; None where nobody has counted."""
    if left is None or max(config.sheets) <= left:
        return config
    return replace(config, sheets=tuple(count for count in config.sheets if count <= left) or (1,))


def papers_of(session: Session, config: BoothConfig) -> tuple[str, ...]:
    """Return the papers that the document's photos can be printed on; none where there is no choice."""
    return () if session.document is None else config.papers.get(session.document.id, ())


def _copies(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Let the sitter choose sheets and paper, where there is a choice or a price to be paid; the usual are preset."""
    papers = papers_of(session, config)
    session = priced(replace(session, sheets=config.sheets[0], paper=papers[0] if papers else ""), config)
    asks = len(papers) > 1 or len(config.sheets) > 1 or session.account.price > 0
    if session.guest is None and asks:
        return enter(session, "copies", now_s), ()
    return _release(session, now_s, config)


def _release(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Take the money and print, or first wait for the attendant."""
    if session.guest is not None:
        return badge(session, now_s)
    if config.release == "attendant":
        return enter(session, "release", now_s), ()
    return pay(session, now_s, config)
