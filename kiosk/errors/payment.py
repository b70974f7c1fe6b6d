"""Errors of the payment unit."""

from __future__ import annotations

from kiosk.errors.base import NeedsAttendant


class PaymentFault(NeedsAttendant):
    """The payment unit cannot take or pay back money."""

    key = "payment_fault"
    exit_code = 27
    sentence = "The payment unit {unit} cannot be used: {detail}."
    next_step = "Look at its power and its cable; the booth asks it again by itself."


class PaymentUnknown(PaymentFault):
    """It is not known whether a payment was made; it is asked by its key until the unit answers."""

    key = "payment_unknown"
    sentence = "It is not known whether {unit} has taken the money: {detail}."
    next_step = "Leave the unit switched on; the booth asks it again by itself, and the ledger keeps the bill open."
