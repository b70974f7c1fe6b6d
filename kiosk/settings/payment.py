"""How a booth is paid before it prints."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from kiosk.core.view.payment import PaymentWay
from kiosk.settings.section import Section

SimulatedAnswer = Literal["approved", "declined", "silent", "late", "lost", "other", "fault"]
"""How a simulated unit behaves when it is asked: it says yes or no; it says nothing; it says yes after it was to end;
it takes the money and the answer is lost; it answers for another payment; it refuses to work."""


class NoPayment(Section):
    """The booth takes no money: prices are only shown."""

    backend: Literal["none"] = "none"


class SimulatedPaymentSettings(Section):
    """A simulated unit, for a demonstration: no money moves.

    `answers` is how it behaves, request by request; afterwards it approves.
    """

    backend: Literal["sim"]
    way: PaymentWay = "terminal"
    answers: list[SimulatedAnswer] = Field(default=[])


AnyPayment = NoPayment | SimulatedPaymentSettings
