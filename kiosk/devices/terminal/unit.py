"""A card terminal as a payment unit: begun, asked after and ended by its key, so that nothing is charged twice.

Card data never reach the booth: it learns a state and an amount.
"""

from __future__ import annotations

import logging
import threading
import time

from kiosk.core.view.payment import PaymentWay
from kiosk.devices.base import Charge, PaymentAnswer, Taken
from kiosk.devices.terminal.wire import NoAnswer, Refused, Reply, Wire
from kiosk.errors import PaymentFault, PaymentUnknown

LOOK_S = 0.5
"""How often the terminal is asked whether the sitter has paid (this project's own choice)."""
SILENT_S = 15.0
"""For how long a terminal may be silent while a sitter waits, or go on with a payment that was ended: longer than an
authorisation usually takes (practice)."""

_log = logging.getLogger(__name__)


class TerminalUnit:
    """A terminal at one address.

    Parameters
    ----------
    wire
        The way to it.
    """

    simulated = False
    way: PaymentWay = "terminal"
    refunds = True

    def __init__(self, wire: Wire, look_s: float = LOOK_S, silent_s: float = SILENT_S) -> None:
        self._wire = wire
        self._look_s = look_s
        self._silent_s = silent_s

    @property
    def name(self) -> str:
        """The address."""
        return self._wire.address

    def check(self) -> None:
        """Return where the terminal says that it is ready.

        Raises
        ------
        PaymentFault
            It cannot be reached, or is not ready.
        """
        try:
            is_ready = self._wire.standing().ready
        except (NoAnswer, Refused) as error:
            raise self._fault(str(error)) from error
        if not is_ready:
            raise self._fault("it says that it is not ready")

    def ask(self, charge: Charge, taken: Taken, stop: threading.Event) -> PaymentAnswer:
        """Begin the payment, and ask after it until it has ended.

        Raises
        ------
        PaymentFault
            It was surely not begun.
        PaymentUnknown
            The terminal has fallen silent, or does not end the payment.
        """
        try:
            reply = self._begun(charge)
        except Refused as error:
            raise self._fault(str(error)) from error
        except NoAnswer as error:
            if error.is_unsent:
                raise self._fault(str(error)) from error
            reply = None
        heard_s = time.monotonic()
        while reply is None or reply.state == "pending":
            if stop.wait(self._look_s):
                return self._ended(charge)
            try:
                reply = self._of(charge, self._wire.payment("GET", charge.key, None))
                heard_s = time.monotonic()
            except (NoAnswer, Refused) as error:
                if time.monotonic() - heard_s > self._silent_s:
                    raise self._unknown(str(error)) from error
            else:
                if reply.paid:
                    taken(reply.paid)
        return PaymentAnswer(reply.key, reply.state, reply.paid)

    def look_up(self, charge: Charge) -> PaymentAnswer:
        """End the payment, and return how it has ended.

        Raises
        ------
        PaymentUnknown
            The terminal does not answer, or does not end the payment.
        """
        return self._ended(charge, silent_s=0.0)

    def refund(self, charge: Charge, amount: int) -> None:
        """Pay back so much of a payment, which is one refund however often it is asked for.

        Raises
        ------
        PaymentFault
            The terminal has refused.
        PaymentUnknown
            The terminal does not answer, or has not done it yet.
        """
        try:
            reply = self._of(charge, self._wire.payment("PUT", f"{charge.key}/refund", {"amount": amount}))
        except Refused as error:
            raise self._fault(str(error)) from error
        except NoAnswer as error:
            raise self._unknown(str(error)) from error
        if reply.refunded < amount:
            raise self._unknown(f"it has paid back {reply.refunded} of {amount}")

    def close(self) -> None:
        """Do nothing: each request has a connection of its own."""

    def _begun(self, charge: Charge) -> Reply:
        wanted: dict[str, object] = {"amount": charge.amount, "currency": charge.currency}
        return self._of(charge, self._wire.payment("PUT", charge.key, wanted))

    def _ended(self, charge: Charge, silent_s: float | None = None) -> PaymentAnswer:
        """End the payment, again and again until the terminal says how it has ended."""
        limit_s = time.monotonic() + (self._silent_s if silent_s is None else silent_s)
        while True:
            detail = "it does not end the payment"
            try:
                reply = self._of(charge, self._wire.payment("DELETE", charge.key, None))
            except (NoAnswer, Refused) as error:
                detail = str(error)
            else:
                if reply.state != "pending":
                    return PaymentAnswer(reply.key, reply.state, reply.paid)
            if time.monotonic() >= limit_s:
                raise self._unknown(detail)
            time.sleep(self._look_s)

    def _of(self, charge: Charge, reply: Reply) -> Reply:
        """Return a reply for this payment; one for another is none."""
        if reply.key != charge.key:
            _log.error("%s has answered for another payment", self.name)
            raise NoAnswer("it has answered for another payment")
        return reply

    def _fault(self, detail: str) -> PaymentFault:
        return PaymentFault(unit=self.name, detail=detail)

    def _unknown(self, detail: str) -> PaymentUnknown:
        return PaymentUnknown(unit=self.name, detail=detail)
