"""A photo printer on a manual clock, which obeys, and fails on request."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from dataclasses import dataclass, field

from kiosk.devices.cups.device import DeviceJob
from kiosk.devices.cups.standing import OFFLINE, DeviceStanding
from tests.support.stepped_clock import SteppedClock

PENDING, HELD, PROCESSING, CANCELED, ABORTED, COMPLETED = 3, 4, 5, 7, 8, 9
"""The states of a job (RFC 8011, 5.3.7)."""
FEED_S = 0.5
"""How long a device takes from a job to its first move of paper."""


@dataclass
class _Sheet:
    """One sheet in a device."""

    number: int
    pdf: bytes
    uuid: str
    came_s: float
    state: int = PENDING
    impressions: int = 0
    begun_s: float | None = None
    is_called_back: bool = False


@dataclass
class MadeUpPrinter:
    """A photo printer.

    Attributes
    ----------
    print_s
        How long a page takes from its first move to the tray.
    counts
        Whether it counts impressions.
    obstacle
        The printer-state-reason that keeps it from beginning a sheet; nothing where none does.
    jam
        The printer-state-reason that keeps a begun sheet from coming out.
    gives_up
        How many of the next sheets it aborts before it begins them.
    tray
        What came out, None for a page that was cut off.
    """

    name: str
    clock: SteppedClock
    chance: random.Random
    print_s: float = 3.0
    counts: bool = True
    obstacle: str = ""
    jam: str = ""
    gives_up: int = 0
    is_on: bool = True
    tray: list[bytes | None] = field(default_factory=list)
    sheets: dict[int, _Sheet] = field(default_factory=dict)
    on_since_s: float = 0.0
    _numbers: Iterator[int] = field(default_factory=lambda: itertools.count(1))

    def standing(self) -> DeviceStanding:
        """Return its state, as the booth asks for it."""
        self.go_on()
        if not self.is_on:
            return OFFLINE
        reasons = tuple(reason for reason in (self.obstacle, self.jam) if reason)
        return DeviceStanding(reasons, up_s=int(self.clock.now_s() - self.on_since_s))

    def jobs(self) -> dict[int, DeviceJob] | None:
        """Return its jobs, as the booth asks for them; None of one that is off."""
        self.go_on()
        if not self.is_on:
            return None
        return {
            number: DeviceJob(sheet.state, impressions=sheet.impressions if self.counts else 0, uuid=sheet.uuid)
            for number, sheet in self.sheets.items()
        }

    @property
    def is_at_rest(self) -> bool:
        """Whether nothing more comes out of it by itself."""
        self.go_on()
        return not self.is_on or all(sheet.state >= CANCELED for sheet in self.sheets.values())

    def receive(self, pdf: bytes) -> int:
        """Take a sheet and return its number."""
        number = next(self._numbers)
        self.sheets[number] = _Sheet(number, pdf, f"uuid-{self.chance.getrandbits(64):x}", self.clock.now_s())
        return number

    def cancel(self, number: int) -> None:
        """Give a sheet up; one that was begun comes out all the same."""
        self.go_on()
        sheet = self.sheets.get(number)
        if sheet is None or sheet.state >= CANCELED:
            return
        if sheet.begun_s is None:
            sheet.state = CANCELED
        sheet.is_called_back = True

    def switch_off(self) -> None:
        """Switch it off without notice: it forgets its jobs, and what was in it comes out cut off or not at all."""
        self.go_on()
        if any(sheet.begun_s is not None and sheet.state < CANCELED for sheet in self.sheets.values()):
            self.tray += self.chance.choice(([], [None]))
        self.is_on = False
        self.sheets.clear()

    def switch_on(self) -> None:
        """Switch it on again; it begins to number anew."""
        self.is_on, self.on_since_s = True, self.clock.now_s()
        self._numbers = itertools.count(1)

    def go_on(self) -> None:
        """Do what it has done since it was looked at last."""
        now_s = self.clock.now_s()
        for sheet in self.sheets.values():
            if sheet.state >= CANCELED:
                continue
            if sheet.begun_s is None:
                if self.obstacle or now_s < sheet.came_s + FEED_S:
                    return
                if self.gives_up:
                    self.gives_up -= 1
                    sheet.state = ABORTED
                    continue
                sheet.begun_s = now_s
                sheet.state = PROCESSING
            if self.jam or now_s < sheet.begun_s + self.print_s:
                return
            self.tray.append(sheet.pdf)
            sheet.impressions = 1
            sheet.state = CANCELED if sheet.is_called_back else COMPLETED
