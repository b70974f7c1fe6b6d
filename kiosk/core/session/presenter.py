"""From the session to what the screens may know."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from kiosk.core.base.decision import Word
from kiosk.core.base.units import px_from_mm
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Judgement
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.burst import worth
from kiosk.core.session.escalation import has_other_words, wants_person
from kiosk.core.session.file_step import handover_view
from kiosk.core.session.paying import price_of
from kiosk.core.session.remedies import is_stuck, reasons, remedy
from kiosk.core.session.state import Session, kept_stills, seat_is_empty, sitter_decides
from kiosk.core.session.time_limits import WARNING_S, idle_limit_s
from kiosk.core.session.verdict_rows import row
from kiosk.core.sheet.imposition import Sheet
from kiosk.core.view.attendant import DeskView
from kiosk.core.view.choice import DocumentOffer, PaperOffer, Price
from kiosk.core.view.payment import PaymentView
from kiosk.core.view.sheet import SheetPhoto, SheetView
from kiosk.core.view.sitter import AlignView, EventView, PhotoChoice, ReviewView, SessionView, State, Trouble

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
    judgement = _judgement(session)
    plan = judgement.plan if judgement else None
    document = session.document
    size = document.frame_mm if document else None
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
        review=ReviewView(
            verdict=_verdict(judgement),
            passed_by_attendant=session.still is not None and session.still.override is not None,
            sitter_decides=session.state == "review" and sitter_decides(session, config),
            rows=tuple(row(finding) for finding in judgement.findings) if judgement else (),
            reasons=reasons(judgement, session.failed) if judgement else (),
            remedy=remedy(judgement, session.failed) or "",
            is_stuck=stuck,
            photo_jpeg=_photo(session),
            photos=_choices(session),
            photo_points_mm=plan.points_mm if plan else None,
            head_top=document.head_top.value if document else "crown",
            photo_mm=(size.width, size.height) if size else (0.0, 0.0),
        ),
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
        payment=_payment(session, config, now_s),
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


def _judgement(session: Session) -> Judgement | None:
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


def _papers(session: Session, config: BoothConfig, photos_on: Mapping[str, int]) -> Iterator[PaperOffer]:
    for name, photos in photos_on.items():
        yield PaperOffer(name, photos, price_of(session, config, name, 1))


def _payment(session: Session, config: BoothConfig, now_s: float) -> PaymentView:
    """Return the sitter's money as amounts in the shop's currency."""
    terms, account = config.payment, session.account
    currency = next((price.currency for price in config.prices.values()), "")
    if terms is None:
        return PaymentView()
    limit_s = idle_limit_s(session, config) if session.state == "paying" and not account.is_ending else None
    return PaymentView(
        way=terms.way,
        due=terms.price(account.due, currency) if account.due else None,
        paid=terms.price(account.credit, currency) if account.credit else None,
        seconds_left=0 if limit_s is None else math.ceil(max(limit_s - (now_s - session.active_s), 0.0)),
        is_ending=account.is_ending,
        note=account.note,
        code=account.code,
        repaid=account.repaid,
    )


def offer(document: Document, price: Price | None = None) -> DocumentOffer:
    """Return a document as it stands on the list."""
    glasses = document.spectacles
    return DocumentOffer(
        id=document.id,
        title=document.title,
        country=document.country,
        size_text=_size_text(document),
        channel=document.channel.value,
        kinds=document.kinds,
        is_upload=document.size is None,
        glasses=None if glasses is None else glasses.allowed and not glasses.better_off,
        asks_of_face="all"
        if "mouth_closed" in document.capture
        else "eyes"
        if "eyes_open" in document.capture
        else "nothing",
        ages=document.ages,
        price=price,
    )


def _size_text(document: Document) -> str:
    if document.size is None:
        frame = document.frame_mm
        return f"{px_from_mm(frame.width, 300):.0f} × {px_from_mm(frame.height, 300):.0f} px"
    return f"{document.size.width:g} × {document.size.height:g} {document.size.unit}"


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


def _verdict(judgement: Judgement | None) -> Word:
    if judgement is None or judgement.verdict == "unmeasurable":
        return "unmeasured"
    return judgement.verdict
