"""Build the attendant's view from desk, session and booth: an overview in words, and the possible orders."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal

from kiosk.core.attendant.guest_list import badge_ways, field_choices
from kiosk.core.attendant.state import Desk, DeskConfig
from kiosk.core.attendant.status_lines import BoothStatus, seat_words, status_lines
from kiosk.core.attendant.step import BOOTH, age_choices, can_release, can_reprint, why_no_override
from kiosk.core.judging.override import REASONS
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.state import Session
from kiosk.core.view.attendant import DeskView, OrderName


def present_desk(
    desk: Desk, session: Session, config: BoothConfig, status: BoothStatus, now_s: float, desk_config: DeskConfig
) -> DeskView:
    """Return the view of the desk at `now_s`; a closed desk has the overview as well, for the attendant's page."""
    is_pin = desk.page == "pin"
    return DeskView(
        page=desk.page,
        typed=len(desk.digits) if is_pin else 0,
        number="" if is_pin else desk.digits,
        is_checking=bool(desk.asker),
        wait_s=0 if desk.asker == BOOTH else math.ceil(desk.lock.left_s(now_s)),
        page_wait_s=math.ceil(desk.page_lock.left_s(now_s)),
        notice=desk.notice,
        lines=() if is_pin else tuple(status_lines(desk, session, config, status, now_s, desk_config)),
        orders=frozenset(_orders(desk, session, desk_config)),
        ages=age_choices(session),
        seat=seat_words(session),
        kept=desk.kept,
        owed=tuple(_owed(desk, config)),
        reasons=tuple(REASONS.items()),
        why_no_override=why_no_override(session),
        is_testing=desk.is_testing,
        test_report=desk.shot.report if desk.shot else (),
        test_jpeg=desk.shot.jpeg if desk.shot else b"",
        guests=desk.guests,
        choices=field_choices(desk.guests, desk_config),
        ways=badge_ways(desk, session, desk_config),
    )


def _orders(desk: Desk, session: Session, desk_config: DeskConfig) -> Iterator[OrderName]:
    yield "open_again" if desk.is_shut else "shut"
    yield "end"
    if desk_config.columns:
        yield "guest"
    if can_release(session):
        yield "release"
    if can_reprint(desk):
        yield "reprint"
    if desk.owed:
        yield "settle"
    if session.called:
        yield "answer"
    if not why_no_override(session):
        yield "override"
    if session.state in ("welcome", "out_of_order") and not desk.is_testing:
        yield "test_shot"
    if session.state not in ("welcome", "out_of_order", "paying", "printing"):
        yield "start_again"


def _owed(desk: Desk, config: BoothConfig) -> Iterator[tuple[str, str]]:
    """Yield each bill that is to be paid out, with its code and amount."""
    digits = 2 if config.payment is None else config.payment.digits
    for bill in desk.owed:
        yield bill.key, f"{bill.code}: {Decimal(bill.credit).scaleb(-digits)} {bill.currency}"
