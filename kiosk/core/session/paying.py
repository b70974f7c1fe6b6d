"""From the chosen sheets to the printer: they are paid for where the shop asks for it, and printed.

A payment that is refused, cancelled or late prints nothing and leads back to the choice of sheets, with the photo. What
was paid stays the sitter's credit until a sheet has come out for it.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from kiosk.core.document.document import Document
from kiosk.core.session.account import Account
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import AskPayment, CancelPayment, Print
from kiosk.core.session.endings import leave, welcome
from kiosk.core.session.events import Failed, MoneyCame, MoneyReturned, PaymentOver, PrinterStood
from kiosk.core.session.receipt import Purchase
from kiosk.core.session.state import Session, Transition, enter, enter_printing
from kiosk.core.view.choice import Price


def price_of(session: Session, config: BoothConfig, paper: str, sheets: int) -> Price | None:
    """Return what sheets of the chosen document cost, where a price is shown."""
    price = config.prices.get(session.document.id) if session.document else None
    if price is None:
        return None
    return Price((price.amount + config.extras.get(paper, Decimal(0))) * sheets, price.currency)


def priced(session: Session, config: BoothConfig) -> Session:
    """Return the session with the price of what is chosen, which is nothing where the booth is not paid."""
    price = price_of(session, config, session.paper, session.sheets)
    minor = 0 if config.payment is None or price is None else config.payment.minor(price)
    return replace(session, account=replace(session.account, price=minor))


def is_stopped(session: Session) -> bool:
    """Return whether the sitter would pay for sheets that could not be printed now."""
    return session.print_state == "failed" and session.account.due > 0


def pay(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Ask for what is still to be paid, or print at once where that is nothing."""
    session = priced(session, config)
    price = price_of(session, config, session.paper, session.sheets)
    if price is None or session.account.due == 0:
        return print_sheets(session, now_s, config)
    ticket = session.ticket.following
    account = replace(session.account, ticket=ticket, note="", is_ending=False)
    paying = replace(enter(session, "paying", now_s), ticket=ticket, account=account)
    return paying, (AskPayment(ticket, account.due, price.currency),)


def print_sheets(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Print what was chosen."""
    still = session.still
    plan = still.judgement.plan if still else None
    if still is None or plan is None or session.document is None:
        return session, ()
    printing = enter_printing(session, now_s)
    sheet = Print(
        printing.ticket,
        plan,
        session.document,
        still.override is not None,
        session.turned_deg,
        sheets=session.sheets,
        paper=session.paper,
        not_certain=still.not_certain,
        purchase=_purchase(session, session.document, config),
    )
    return printing, (sheet,)


def _purchase(session: Session, document: Document, config: BoothConfig) -> Purchase | None:
    price = price_of(session, config, session.paper, session.sheets)
    if price is None or not price.amount:
        return None
    return Purchase(document, session.sheets, price, config.payment is not None, session.language)


def end_payment(session: Session, now_s: float) -> Transition:
    """Have the payment unit end, and wait for its answer: it may have taken the money already."""
    account = session.account
    if account.is_ending or account.ticket is None:
        return session, ()
    ending = replace(session, active_s=now_s, account=replace(account, is_ending=True))
    return ending, (CancelPayment(account.ticket),)


def payment_timed_out(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """End a payment that takes too long; one that does not end either is left unknown."""
    if session.account.is_ending:
        return _over(session, replace(session.account, is_ending=False, note="unknown"), now_s, config)
    return end_payment(session, now_s)


def money_step(
    session: Session, event: PrinterStood | MoneyCame | MoneyReturned | PaymentOver, now_s: float, config: BoothConfig
) -> Transition:
    """Return the session after news of its own sitter's money, or of what it can buy; another's changes nothing."""
    if isinstance(event, PrinterStood):
        state = "waiting" if event.can_print else "failed"
        return (replace(session, print_state=state) if session.state == "copies" else session), ()
    account = session.account
    if account.ticket is None or event.ticket != account.ticket:
        return session, ()
    match event:
        case MoneyCame(_, 0, _) if session.state == "money_back":
            return welcome(session, now_s, config)
        case MoneyCame(_, credit, code):
            came = replace(session, account=replace(account, credit=credit, code=code))
            return (replace(came, active_s=now_s) if session.state == "paying" else came), ()
        case MoneyReturned(_, by_unit):
            return replace(session, account=replace(account, repaid=by_unit)), ()
        case PaymentOver(_, end) if session.state == "paying":
            if account.due == 0 and not account.is_ending:
                return print_sheets(replace(session, account=replace(account, note="")), now_s, config)
            note = "" if account.due == 0 or end == "approved" else end
            return _over(session, replace(account, is_ending=False, note=note), now_s, config)
    return session, ()


def _over(session: Session, account: Account, now_s: float, config: BoothConfig) -> Transition:
    """Go back to the choice of sheets, or end the session where a device has failed meanwhile."""
    session = replace(session, account=account)
    if isinstance(session.news, Failed):
        return leave(session, now_s, config, "fault")
    return enter(session, "copies", now_s), ()
