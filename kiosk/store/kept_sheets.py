"""Sheets that an attendant may have printed again: in memory alone, until their time is over, and then overwritten.

Nothing of them is on a disk, so that a crash or a power cut leaves none, and none is printed again by itself.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field, replace

from kiosk.core.session.facts import SheetBegun
from kiosk.core.view.kept_sheet import MOST_SHEETS, KeptSheet
from kiosk.system.clock import Clock


@dataclass
class _Kept:
    told: KeptSheet
    begun: SheetBegun
    pdf: bytearray = field(repr=False)
    until_s: float
    printing: str

    def overwrite(self) -> None:
        self.pdf[:] = bytes(len(self.pdf))


class KeptSheets:
    """The sheets of the last sitters, for the frame loop's thread alone.

    Parameters
    ----------
    keep_s
        How long each is kept, in seconds; 0 keeps none.
    clock
        Of the booth.
    """

    def __init__(self, keep_s: float, clock: Clock) -> None:
        self._keep_s = keep_s
        self._clock = clock
        self._kept: dict[str, _Kept] = {}

    def keep(self, pdf: bytes, begun: SheetBegun, title: str) -> None:
        """Keep a sheet that goes to the printer; it is offered when its print has ended."""
        if self._keep_s <= 0:
            return
        while len(self._kept) >= MOST_SHEETS:
            self._drop(next(iter(self._kept)))
        told = KeptSheet(begun.key, title, self._clock.now())
        until_s = self._clock.now_s() + self._keep_s
        self._kept[begun.key] = _Kept(told, begun, bytearray(pdf), until_s, printing=begun.key)

    def ended(self, key: str) -> None:
        """Offer a sheet whose print, the first or another, has come to an end."""
        for kept in self._kept.values():
            if kept.printing == key:
                kept.printing = ""

    def offered(self) -> tuple[KeptSheet, ...]:
        """Destroy those whose time is over, and return those that may be printed again, oldest first."""
        now_s = self._clock.now_s()
        for key in [key for key, kept in self._kept.items() if now_s >= kept.until_s]:
            self._drop(key)
        return tuple(kept.told for kept in self._kept.values() if not kept.printing)

    def again(self, key: str) -> tuple[bytes, SheetBegun] | None:
        """Return a sheet's PDF with the fact of its reprint, under a key of its own; None where it is not offered now.

        Until that print has ended the sheet is not offered, so that an order given twice prints once.
        """
        kept = self._kept.get(key)
        if kept is None or kept.printing or self._clock.now_s() >= kept.until_s:
            return None
        kept.printing = secrets.token_hex(8)
        return bytes(kept.pdf), replace(kept.begun, key=kept.printing, reprint_of=key)

    def wipe(self) -> None:
        """Destroy all of them."""
        for key in list(self._kept):
            self._drop(key)

    def _drop(self, key: str) -> None:
        self._kept.pop(key).overwrite()
