"""Write the facts of money: a row for each payment, which says what was asked, taken, paid back and paid out."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from typing import Any

from sqlalchemy import Connection, insert, select, update

from kiosk.core.session.payment_facts import (
    BillSettled,
    PaymentAsked,
    PaymentEnded,
    PaymentFact,
    PaymentRefunded,
    PaymentTaken,
)
from kiosk.store.ledger.outbox import Outbox, enter
from kiosk.store.ledger.tables import PAYMENT


def write_payment(
    connection: Connection, fact: PaymentFact, row: dict[str, Any], at: datetime, outbox: Outbox | None
) -> None:
    """Write a fact of money.

    Parameters
    ----------
    connection
        In the transaction that writes the fact to the ledger.
    row
        The session and the day of a payment that begins; whatever comes after belongs to those of its row.
    at
        When it became a fact, in UTC without a zone.
    outbox
        Where there is one, it gets what is new of each sum.
    """
    if isinstance(fact, PaymentAsked):
        asked = {"key": fact.key, "bill": fact.bill, "asked": fact.amount, "currency": fact.currency}
        connection.execute(insert(PAYMENT).values(asked_at=at, paid=0, refunded=0, settled=0, **asked, **row))
        said = {"session": row["session_id"], "amount": fact.amount, "currency": fact.currency}
        enter(connection, outbox, "payment_asked", at, row["day"], **said)
    else:
        _change(connection, fact, at, outbox)


def _change(
    connection: Connection,
    fact: PaymentTaken | PaymentEnded | PaymentRefunded | BillSettled,
    at: datetime,
    outbox: Outbox | None,
) -> None:
    """Change the row of a payment, whoever's session is open; a bill is settled in that of its first payment."""
    this = PAYMENT.c.key == (fact.bill if isinstance(fact, BillSettled) else fact.key)
    before = connection.execute(select(PAYMENT).where(this)).one_or_none()
    if before is None:
        return
    send = partial(enter, connection, outbox, at=at, day=before.day, session=before.session_id)
    change = update(PAYMENT).where(this)
    match fact:
        case PaymentTaken(_, paid):
            connection.execute(change.values(paid=paid))
            send("payment_taken", amount=paid - before.paid, currency=before.currency)
        case PaymentEnded(_, end):
            connection.execute(change.values(ended=end, ended_at=at))
            send("payment_ended", ended=end)
        case PaymentRefunded(_, refunded):
            connection.execute(change.values(refunded=refunded))
            send("payment_refunded", amount=refunded - before.refunded, currency=before.currency)
        case BillSettled(_, amount):
            connection.execute(change.values(settled=PAYMENT.c.settled + amount))
            send("bill_settled", amount=amount, currency=before.currency)
