"""Whose photo it is: the rules for an age, and how the booth speaks to whoever cares for a child."""

from __future__ import annotations

from dataclasses import replace

from kiosk.core.base.care import Care
from kiosk.core.document.document import Document
from kiosk.core.judging.framing import framing
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.carer import care_of
from kiosk.core.session.state import Session, Transition, align, coach, enter, without_photos


def choose(session: Session, document_id: str, now_s: float, config: BoothConfig) -> Transition:
    """Take a document, and go on to whose photo it is, or at once to its rules where they are the same for all."""
    document = next((d for d in config.documents if d.id == document_id), None)
    if document is None:
        return session, ()
    if not document.ages:
        return _with_rules(enter(session, "privacy", now_s), document, "", config), ()
    where = framing(document, *config.still_px)
    return replace(enter(session, "prepare", now_s), document=document, where=where), ()


def ready(session: Session, age: str, now_s: float, config: BoothConfig) -> Transition:
    """Go on to the privacy notice with the rules for the sitter's age in completed years."""
    document = _chosen(session, config)
    if document is None or (document.ages and age not in {str(known) for known in document.ages}):
        return session, ()
    return _with_rules(enter(session, "privacy", now_s), document, age, config), ()


def of_age(session: Session, age_years: int, now_s: float, config: BoothConfig) -> Transition:
    """Take the attendant's word for the age; a photo that was judged by other rules is taken again."""
    if session.state == "prepare":
        return ready(session, str(age_years), now_s, config)
    document = _chosen(session, config)
    if document is None or age_years not in document.ages or session.state not in ("privacy", "align", "review"):
        return session, ()
    session = _with_rules(session, document, str(age_years), config)
    if session.state == "privacy":
        return session, ()
    session = replace(without_photos(session), shot=0, judged=None, failed=())
    if session.state == "review":
        return align(session, now_s, config)
    return coach(replace(session, since_s=now_s, active_s=now_s), config)


def _chosen(session: Session, config: BoothConfig) -> Document | None:
    """Return the sitter's document as it is for everybody."""
    return next((d for d in config.documents if session.document and d.id == session.document.id), None)


def _with_rules(session: Session, document: Document, age: str, config: BoothConfig) -> Session:
    care: Care = "self"
    if document.ages:
        care = care_of(document.ages, int(age), can_lie=config.lying_deg is not None)
        document = document.for_age(int(age))
    turned_deg = config.lying_deg or 0 if care == "lying" else 0
    still_px = config.still_px if turned_deg in (0, 180) else config.still_px[::-1]
    where = framing(document, *still_px)
    return replace(session, document=document, where=where, care=care, turned_deg=turned_deg)
