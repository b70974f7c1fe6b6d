"""The photo under review: the verdict, its reasons, and two photos where the sitter may choose."""

from __future__ import annotations

from kiosk.core.base.decision import Word
from kiosk.core.judging.conformance import Judgement
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.burst import worth
from kiosk.core.session.outage import can_shoot
from kiosk.core.session.remedies import is_stuck, reasons, remedy
from kiosk.core.session.state import Session, kept_stills, sitter_decides
from kiosk.core.session.verdict_rows import row
from kiosk.core.view.review import PhotoChoice, ReviewView


def review_view(session: Session, config: BoothConfig) -> ReviewView:
    """Return what the screens show of the photo, or of the shot before while one is taken."""
    judgement, document = judgement_shown(session), session.document
    plan = judgement.plan if judgement else None
    size = document.frame_mm if document else None
    return ReviewView(
        verdict=_verdict(judgement),
        passed_by_attendant=session.still is not None and session.still.override is not None,
        sitter_decides=session.state == "review" and sitter_decides(session, config),
        can_retake=can_shoot(session),
        rows=tuple(row(finding) for finding in judgement.findings) if judgement else (),
        reasons=reasons(judgement, session.failed) if judgement else (),
        remedy=remedy(judgement, session.failed) or "",
        is_stuck=judgement is not None and is_stuck(judgement, session.failed),
        photo_jpeg=_photo(session),
        photos=_choices(session),
        photo_points_mm=plan.points_mm if plan else None,
        head_top=document.head_top.value if document else "crown",
        photo_mm=(size.width, size.height) if size else (0.0, 0.0),
    )


def judgement_shown(session: Session) -> Judgement | None:
    """Return the judgement on the photo under review or, while one is taken, on the shot before."""
    if session.state in ("align", "shooting", "measuring"):
        return session.judged
    return session.still.judgement if session.still else None


def _photo(session: Session) -> bytes:
    if session.state in ("align", "shooting", "measuring"):
        return session.last_photo
    return session.still.photo_jpeg if session.still else b""


def _choices(session: Session) -> tuple[PhotoChoice, ...]:
    """Return both photos, where the sitter has taken two that passed; the better-measured one is marked."""
    still, other = session.still, session.other
    if session.state != "review" or still is None or other is None:
        return ()
    least = min(worth(still.judgement), worth(other.judgement))
    return tuple(
        PhotoChoice(each.number, each.photo_jpeg, is_chosen=each is still, is_best=worth(each.judgement) > least)
        for each in kept_stills(session)
    )


def _verdict(judgement: Judgement | None) -> Word:
    if judgement is None or judgement.verdict == "unmeasurable":
        return "unmeasured"
    return judgement.verdict
