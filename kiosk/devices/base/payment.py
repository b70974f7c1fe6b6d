"""The contract of a payment unit: a coin or note validator, or a card terminal.

A unit may block: it works in the thread of the cashier (`devices.payment.cashier`), and the frame loop polls that. All
amounts are whole minor units of a currency (ISO 4217).
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

from kiosk.devices.base.device import DeviceFailed, DeviceReady

if TYPE_CHECKING:  # a camera's process imports this package, and has no use for documents
    from kiosk.core.session.bill import PaymentEnd
    from kiosk.core.view.payment import PaymentWay

Taken = Callable[[int], None]
"""Takes what a unit has counted so far under the key that it was asked for, and returns once that is on disk."""


@dataclass(frozen=True, slots=True)
class Charge:
    """An amount to be asked for, under a key that is never given out twice."""

    key: str
    amount: int
    currency: str


@dataclass(frozen=True, slots=True)
class PaymentAnswer:
    """How a charge ended, and what the unit has taken under its key; coins stay taken though it is cancelled."""

    key: str
    end: PaymentEnd
    paid: int = 0


@dataclass(frozen=True, slots=True)
class PaymentMoved:
    """What the unit has taken under a key so far; it is on disk."""

    key: str
    paid: int


@dataclass(frozen=True, slots=True)
class PaymentOutcome:
    """How a charge ended; one that is `unknown` gets its true end later."""

    key: str
    end: PaymentEnd | Literal["failed", "unknown"]


@dataclass(frozen=True, slots=True)
class RefundOutcome:
    """What of a payment is paid back altogether; the same as before where the unit has refused."""

    key: str
    refunded: int
    is_done: bool


PaymentEvent = PaymentMoved | PaymentOutcome | RefundOutcome | DeviceFailed | DeviceReady


class PaymentUnit(Protocol):
    """A payment unit seen from the cashier's thread.

    Attributes
    ----------
    simulated
        Whether no money moves.
    way
        What the sitter has to do.
    refunds
        Whether it can pay back.
    """

    simulated: bool
    way: PaymentWay
    refunds: bool

    @property
    def name(self) -> str:
        """The device or address."""
        ...

    def check(self) -> None:
        """Return where money could be taken now.

        Raises
        ------
        PaymentFault
            It could not, and why.
        """
        ...

    def ask(self, charge: Charge, taken: Taken, stop: threading.Event) -> PaymentAnswer:
        """Ask for the money and return the answer; the same key is never charged twice.

        Parameters
        ----------
        charge
            What is asked for.
        taken
            Called with each change of what was counted.
        stop
            Once it is set, the unit ends the charge and says soon how it ended, which may still be approved.

        Raises
        ------
        PaymentFault
            It could not be asked; no more was taken than counted.
        PaymentUnknown
            It may have taken the money; `look_up` will say.
        """
        ...

    def look_up(self, charge: Charge) -> PaymentAnswer:
        """End a charge that was begun earlier, even by a process that has crashed, and return how it ended.

        Raises
        ------
        PaymentUnknown
            The unit cannot say now.
        """
        ...

    def refund(self, charge: Charge, amount: int) -> None:
        """Pay back so much of a charge; a second call with the same charge pays nothing more.

        Raises
        ------
        PaymentFault
            It was not paid back.
        PaymentUnknown
            It may have been; another call will say.
        """
        ...

    def close(self) -> None:
        """Let go of the device."""
        ...
