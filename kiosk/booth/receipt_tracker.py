"""The receipts on a receipt printer: one for each purchase, once its sheets have surely come out."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from functools import partial

from kiosk.core.session.receipt import Purchase, sheet_number
from kiosk.devices.printer.slips import SlipQueue
from kiosk.render.receipt.slip import Slip
from kiosk.render.receipt.words import purchase_lines
from kiosk.system.clock import Clock

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class SlipTerms:
    """The shop's lines on a slip, and the width of its paper and of what stays free at its edges."""

    shop: tuple[str, ...]
    width_mm: float
    margin_mm: float


class ReceiptTracker:
    """What is still to be printed; for the frame loop's thread alone.

    A sheet that failed, or of which nobody knows whether it came out, has no receipt, and one that the attendant prints
    again has no second one.
    """

    def __init__(self, slips: SlipQueue, terms: SlipTerms, clock: Clock) -> None:
        self._slips = slips
        self._terms = terms
        self._clock = clock
        self._bought: dict[str, Purchase] = {}

    def sheet_sent(self, key: str, purchase: Purchase | None) -> None:
        """Remember what a sheet's receipt says; one that costs nothing has none."""
        if purchase is not None:
            self._bought[key] = purchase

    def sheet_ended(self, key: str, *, printed: bool) -> None:
        """Print the receipt for a sheet that has come out."""
        purchase = self._bought.pop(key, None)
        if purchase is not None and printed:
            self._slips.submit(partial(self._slip, purchase, sheet_number(key)))

    def faults(self) -> list[str]:
        """Return why receipts did not come out since the last call, for the attendant; the log has it too."""
        sentences = [f"A receipt was not printed. {fault}" for fault in self._slips.poll()]
        for sentence in sentences:
            _log.warning("%s", sentence)
        return sentences

    def close(self) -> None:
        """Print what was submitted."""
        self._slips.close()

    def _slip(self, purchase: Purchase, number: str) -> Slip:
        terms = self._terms
        lines = purchase_lines(purchase, self._clock.today(), number)
        return Slip(terms.shop, lines, terms.width_mm, terms.margin_mm)
