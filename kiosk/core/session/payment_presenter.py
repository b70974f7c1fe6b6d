"""What the screens show of the sitter's money."""

from __future__ import annotations

import math

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.state import Session
from kiosk.core.session.time_limits import idle_limit_s
from kiosk.core.view.payment import PaymentView


def payment_view(session: Session, config: BoothConfig, now_s: float) -> PaymentView:
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
