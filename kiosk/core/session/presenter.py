"""From the session to what the screens may know."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.escalation import has_other_words, wants_person
from kiosk.core.session.file_step import handover_view
from kiosk.core.session.offers import offer
from kiosk.core.session.paying import price_of
from kiosk.core.session.payment_presenter import payment_view
from kiosk.core.session.remedies import is_stuck
from kiosk.core.session.review_presenter import judgement_shown, review_view
from kiosk.core.session.state import Session, seat_is_empty
from kiosk.core.session.time_limits import WARNING_S, idle_limit_s
from kiosk.core.sheet.imposition import Sheet
from kiosk.core.view.align import AlignView
from kiosk.core.view.attendant import DeskView
from kiosk.core.view.choice import PaperOffer
from kiosk.core.view.sheet import SheetPhoto, SheetView
from kiosk.core.view.sitter import EventView, SessionView, State, Trouble

TROUBLES: Mapping[str, Trouble] = {
    "camera_fault": "camera",
    "camera_card_full": "camera",
    "camera_setting_refused": "camera",
    "device_timeout": "camera",
    "printer_fault": "printer",
    "sheet_unknown": "printer",
    "scale_unproven": "printer",
    "colour_unproven": "printer",
    "no_paper": "paper",
    "shut_by_attendant": "closed",
}
"""What a fault is about for a sitter, by the key of its error."""

PICTURE_AGE_S = 1.5
"""From this age on the newest live picture shows what is past, in seconds: fifteen pictures of a slow body
(`devices.camera.timeouts`), and longer than a busy machine takes to look at one."""
UNWARNED: tuple[State, ...] = (
    "shooting",
    "measuring",
    "paying",
    "printing",
    "collect",
    "take_file",
    "money_back",
    "thanks",
)
"""In which states time runs out without a warning: nothing would be lost, or the screen counts down by itself."""
HELD_S = 4.0
"""How long a sitter holds still for a shot, in seconds (practice)."""


def present(
    session: Session,
    config: BoothConfig,
    now_s: float,
    *,
    simulated: bool,
    copies: int,
    paper: str,
    photos_on: Mapping[str, int] | None = None,
    sheet: Sheet | None = None,
    desk: DeskView | None = None,
) -> SessionView:
    """Return the view of `session` at `now_s`.

    Parameters
    ----------
    simulated
        Whether any device is simulated.
    copies, paper
        Photos on the sheet and the short name of the paper.
    photos_on
        How many photos a sheet of each paper carries that can be chosen, by its short name; none without a choice.
    sheet
        The sheet as it will be printed, where it is shown.
    desk
        The attendant's desk, where it is open.
    """
    judgement = judgement_shown(session)
    document = session.document
    stuck = judgement is not None and is_stuck(judgement, session.failed)
    reworded = session.state == "align" and (
        stuck if session.advice.says_remedy else has_other_words(session.advice.since_s, now_s)
    )
    is_waiting = _is_waiting(session, now_s)
    return SessionView(
        state=session.state,
        since_s=session.since_s,
        now_s=now_s,
        language=session.language,
        languages=config.languages,
        ease=session.ease,
        has_voice=config.has_voice,
        volume=session.volume,
        headphones=session.headphones,
        simulated=simulated,
        offers=tuple(offer(d, config.prices.get(d.id)) for d in config.documents),
        document=offer(document, config.prices.get(document.id)) if document else None,
        care=session.care,
        is_light=config.is_light,
        accent=config.accent,
        shot=session.shot,
        shots=config.shots,
        attended=config.attended,
        called=session.called,
        rules_read_on=document.read_on.isoformat() if document and session.state == "privacy" else "",
        fault=session.fault,
        trouble=session.fate or TROUBLES.get(session.fault_key, "other"),
        desk=desk,
        time_left_s=_time_left_s(session, config, now_s),
        align=AlignView(
            instruction=session.advice.instruction or "" if session.state == "align" and not is_waiting else "",
            instruction_since_s=max(session.advice.since_s, session.since_s),
            is_waiting=is_waiting,
            has_other_words=reworded,
            height_off_cm=session.advice.height_off_cm if reworded else 0,
            shows_retake=session.state == "align" and session.advice.says_remedy and bool(session.last_photo),
            wants_person=_wants_person(session, config, now_s),
            praise=now_s < session.advice.praise_until_s,
            checks=session.advice.checks,
            hold_fraction=session.hold.fraction(now_s),
            mirror=session.care != "lying",
            guide=session.where.guide if session.where else None,
            inner=session.where.inner if session.where else None,
            outer=session.where.outer if session.where else None,
            crop=session.where.crop if session.where else None,
            lens=config.lens,
        ),
        review=review_view(session, config),
        sheet=SheetView(
            kept_minutes=config.reprint_minutes,
            copies=copies,
            paper=paper,
            placements=tuple(SheetPhoto(photo.rect_mm, photo.turned) for photo in sheet.photos) if sheet else (),
            paper_mm=sheet.medium.size_mm if sheet else None,
            papers=tuple(_papers(session, config, photos_on or {})),
            sheets_offered=config.sheets,
            sheets=session.sheets,
            total=price_of(session, config, session.paper, session.sheets),
            print_state=session.print_state,
            takes_s=None if config.takes_s is None else config.takes_s * session.sheets,
            tray=config.tray,
            photo_minutes=_photo_minutes(session, config, now_s),
        ),
        payment=payment_view(session, config, now_s),
        handover=handover_view(session, config, now_s),
        event=EventView(
            is_event=config.reception is not None,
            search=session.search,
            guest=session.guest,
            shares=session.shares,
            shared_until=_shared_until(config),
        ),
    )


def _is_waiting(session: Session, now_s: float) -> bool:
    """Return whether nothing can be asked now: what was asked last is about a picture or a moment long past."""
    if session.state == "align":
        return now_s - max(session.since_s, session.advice.seen_s) > PICTURE_AGE_S
    return session.state == "shooting" and now_s - session.since_s > HELD_S


def _wants_person(session: Session, config: BoothConfig, now_s: float) -> bool:
    """Return whether to offer the attendant: where there is one, and somebody to be helped."""
    if session.state != "align" or not config.attended or seat_is_empty(session):
        return False
    return wants_person(session.since_s, session.shot, now_s)


def _papers(session: Session, config: BoothConfig, photos_on: Mapping[str, int]) -> Iterator[PaperOffer]:
    for name, photos in photos_on.items():
        yield PaperOffer(name, photos, price_of(session, config, name, 1))


def _time_left_s(session: Session, config: BoothConfig, now_s: float) -> float | None:
    """Return the seconds left to warn of; None where nothing would be lost, or only a device is waited for."""
    limit_s = idle_limit_s(session, config)
    if limit_s is None or session.state in UNWARNED:
        return None
    left_s = limit_s - (now_s - session.active_s)
    return max(left_s, 0.0) if left_s <= WARNING_S else None


def _photo_minutes(session: Session, config: BoothConfig, now_s: float) -> int:
    """Return in how many minutes, rounded up, a photo is wiped that was not printed."""
    limit_s = idle_limit_s(session, config) if session.state == "unprinted" else None
    return 0 if limit_s is None else math.ceil(max(limit_s - (now_s - session.active_s), 0.0) / 60.0)


def _shared_until(config: BoothConfig) -> str:
    until = config.reception.shared_until if config.reception is not None else None
    return "" if until is None else until.isoformat()
