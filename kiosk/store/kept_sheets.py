"""Printed sheets that an attendant can have printed again, held in memory for a limited time and then overwritten.

They are never written to disk, so that a crash or a power cut leaves nothing behind and nothing is reprinted by itself.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field, replace

from kiosk.core.session.facts import SheetBegun
from kiosk.core.view.kept_sheet import MOST_SHEETS, KeptSheet
from kiosk.system.clock import Clock


@dataclass
class _Entry:
    sheet: KeptSheet
    begun: SheetBegun
    pdf: bytearray = field(repr=False)
    until_s: float
    printing: str

    def overwrite(self) -> None:
        self.pdf[:] = bytes(len(self.pdf))


class KeptSheets:
    """The sheets of the last sitters; not thread-safe, for the frame loop only.

    Parameters
    ----------
    keep_s
        How long each sheet is kept, in seconds; 0 keeps none.
    clock
        The booth's clock.
    """

    def __init__(self, keep_s: float, clock: Clock) -> None:
        self._keep_s = keep_s
        self._clock = clock
        self._entries: dict[str, _Entry] = {}

    def keep(self, pdf: bytes, begun: SheetBegun, title: str) -> None:
        """Keep a sheet that goes to the printer; it is offered for a reprint once its print has ended."""
        if self._keep_s <= 0:
            return
        while len(self._entries) >= MOST_SHEETS:
            self._drop(next(iter(self._entries)))
        sheet = KeptSheet(begun.key, title, self._clock.now())
        until_s = self._clock.now_s() + self._keep_s
        self._entries[begun.key] = _Entry(sheet, begun, bytearray(pdf), until_s, printing=begun.key)

    def ended(self, key: str) -> None:
        """Offer a sheet for a reprint after the print with this key has ended, whether the first or a later one."""
        for entry in self._entries.values():
            if entry.printing == key:
                entry.printing = ""

    def offered(self) -> tuple[KeptSheet, ...]:
        """Destroy expired sheets, and return those that can be printed again, oldest first."""
        now_s = self._clock.now_s()
        for key in [key for key, entry in self._entries.items() if now_s >= entry.until_s]:
            self._drop(key)
        return tuple(entry.sheet for entry in self._entries.values() if not entry.printing)

    def again(self, key: str) -> tuple[bytes, SheetBegun] | None:
        """Return a sheet's PDF with the fact of its free reprint under a new key, or None if it is not on offer.

        The sheet is off offer until that print has ended, so that an order given twice prints once.
        """
        entry = self._entries.get(key)
        if entry is None or entry.printing or self._clock.now_s() >= entry.until_s:
            return None
        entry.printing = secrets.token_hex(8)
        return bytes(entry.pdf), replace(entry.begun, key=entry.printing, reprint_of=key, bill="", price=0)

    def forget(self, key: str) -> None:
        """Destroy one sheet, if it is still kept."""
        if key in self._entries:
            self._drop(key)

    def wipe(self) -> None:
        """Destroy all sheets."""
        for key in list(self._entries):
            self._drop(key)

    def _drop(self, key: str) -> None:
        self._entries.pop(key).overwrite()
