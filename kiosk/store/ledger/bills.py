"""The bills of a ledger: which of them still owe money, or have a payment whose end is not known."""

from __future__ import annotations

from sqlalchemy import Connection, func, select

from kiosk.core.session.bill import Bill, Payment
from kiosk.store.ledger.tables import PAYMENT, SHEET


def open_bills(connection: Connection) -> tuple[Bill, ...]:
    """Return the bills that are not balanced, oldest first; no sheet may be with the printer."""
    spent = dict[str, int]()
    of_sheets = select(SHEET.c.bill, func.sum(SHEET.c.price)).where(
        SHEET.c.bill.is_not(None), SHEET.c.ended == "printed"
    )
    for bill, price in connection.execute(of_sheets.group_by(SHEET.c.bill)):
        spent[bill] = int(price)
    bills = dict[str, Bill]()
    for row in connection.execute(select(PAYMENT).order_by(PAYMENT.c.asked_at, PAYMENT.c.key)).mappings():
        bill = bills.get(row["bill"]) or Bill(row["bill"], row["currency"], spent=spent.get(row["bill"], 0))
        payment = Payment(row["key"], row["asked"], row["paid"], row["refunded"], row["ended"])
        bills[bill.key] = Bill(
            bill.key, bill.currency, (*bill.payments, payment), bill.spent, bill.settled + row["settled"]
        )
    return tuple(bill for bill in bills.values() if bill.credit or not bill.is_certain)
