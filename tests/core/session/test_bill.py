"""What a bill owes, and from which payments it is paid back."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from kiosk.core.session.bill import Bill, Payment

amounts = st.integers(0, 10_000)


def bill_of(paid):
    payments = tuple(Payment(f"k{index}", amount, amount, end="approved") for index, amount in enumerate(paid))
    return Bill("k0", "EUR", payments)


@given(st.lists(amounts, max_size=6), st.lists(st.tuples(amounts, st.booleans()), max_size=4))
def test_money_is_spent_by_printed_sheets_alone_and_the_rest_is_paid_back_exactly(paid, sheets):
    bill = bill_of(paid)
    for number, (price, _) in enumerate(sheets):
        bill = bill.sent(f"s{number}", min(price, bill.credit))
        assert not bill.is_certain
    prices = dict(bill.pending)
    for number, (_, printed) in enumerate(sheets):
        bill = bill.sheet_ended(f"s{number}", printed=printed)
    spent = sum(prices[f"s{number}"] for number, (_, printed) in enumerate(sheets) if printed)
    assert bill.credit == sum(paid) - spent
    repaid = dict(bill.refunds())
    assert sum(repaid.values()) == max(bill.credit, 0)
    assert all(0 < amount <= payment.paid for payment, amount in repaid.items())
    for payment, amount in repaid.items():
        bill = bill.with_payment(replace(payment, refunded=amount))
    assert bill.credit == min(sum(paid) - spent, 0)


def test_a_bill_is_certain_once_every_request_has_ended():
    bill = bill_of([100]).with_payment(Payment("k9", 50))
    assert not bill.is_certain
    assert bill.with_payment(Payment("k9", 50, 0, 0, "declined")).is_certain
