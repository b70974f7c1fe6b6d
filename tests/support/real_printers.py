"""A queue of a private print server with a virtual printer behind it, as whole sessions see them."""

from __future__ import annotations

import contextlib
from collections.abc import Collection
from pathlib import Path

import cups

from kiosk.core.base.geometry import Rect
from kiosk.devices.cups.device import device_of
from tests.support.marked_pictures import Mark, mark_in
from tests.support.printed import read_pwg
from tests.support.printer_lab import PrinterLab
from tests.support.virtual_printer import VirtualPrinter

GIVES_UP = "abort-once"


class RealQueue:
    """A queue and its printer.

    Parameters
    ----------
    photo_mm
        Where the photo lies on a sheet.
    """

    def __init__(self, lab: PrinterLab, device: VirtualPrinter, photo_mm: Rect) -> None:
        self.device = device
        self._lab = lab
        self._photo_mm = photo_mm
        self._reasons: dict[str, str] = {}
        self._is_paused, self._is_accepting = False, True
        self._read: dict[Path, Mark | None] = {}

    @property
    def name(self) -> str:
        """Its name."""
        return self.device.name

    @property
    def is_on(self) -> bool:
        """Whether the printer is switched on."""
        return self.device.process is not None

    @property
    def gives_up(self) -> bool:
        """Whether the printer aborts the next sheet."""
        return GIVES_UP in self.device.reasons()

    @property
    def unrest(self) -> str:
        """What is on its way or kept at the server, or that anything is off; nothing where it is at rest."""
        if not self.is_on or self._lab.server is None:
            return "off"
        jobs = device_of(self.device.uri).jobs()
        at_device = jobs and {number: job.state for number, job in jobs.items() if not job.has_ended}
        kept = self._jobs("all"), self._lab.spooled(), at_device
        return f"kept are jobs, documents and sheets {kept}" if any(kept) or jobs is None else ""

    def switch_off(self) -> None:
        """Switch the printer off without notice."""
        self.device.stop()

    def switch_on(self) -> None:
        """Switch the printer on again."""
        self.device.start()

    def hinder(self, reason: str) -> None:
        """Keep the printer from beginning a sheet for a printer-state-reason; nothing lets it."""
        self._say("hinder", reason)

    def jam(self, reason: str) -> None:
        """Keep a sheet from coming out, or from being begun, for a printer-state-reason; nothing lets it."""
        self._say("jam", reason)

    def give_up_next(self) -> None:
        """Have the printer abort the next sheet before it begins it."""
        self.device.say(*{*self.device.reasons(), GIVES_UP})

    def pause(self) -> None:
        """Stop the queue."""
        self._is_paused = True
        self.set_up()

    def resume(self) -> None:
        """Let the queue go on."""
        self._is_paused = False
        self.set_up()

    def accept(self, is_accepting: bool) -> None:
        """Take sheets, or refuse them."""
        self._is_accepting = is_accepting
        self.set_up()

    def set_up(self) -> None:
        """Have the server know what was asked of the queue; it is asked again of one that was down."""
        if self._lab.server is None:
            return
        connection = self._lab.connection()
        (connection.disablePrinter if self._is_paused else connection.enablePrinter)(self.name)
        (connection.acceptJobs if self._is_accepting else connection.rejectJobs)(self.name)

    def cancel_all(self) -> None:
        """Cancel every job as anybody may; one that has ended meanwhile is no matter."""
        for number in self._jobs("not-completed") if self._lab.server is not None else ():
            with contextlib.suppress(cups.IPPError):
                self._lab.connection().cancelJob(number)

    def tray(self) -> list[Mark | None]:
        """Return the marks of the pages in the tray, None for one that was cut off."""
        return [self._mark_on(path) for path in self.device.came_out()]

    def clear_tray(self) -> None:
        """Take out what lies in the tray, as far as it was looked at."""
        for path in self._read:
            path.unlink()
        self._read.clear()

    def _mark_on(self, path: Path) -> Mark | None:
        if path not in self._read:
            try:
                page = read_pwg(path)
            except IndexError:
                self._read[path] = None
            else:
                at, px_mm = self._photo_mm, page.dpi / 25.4
                left, top, right, bottom = (round(edge * px_mm) for edge in (at.x, at.y, at.right, at.bottom))
                self._read[path] = mark_in(page.pixels[top:bottom, left:right])
        return self._read[path]

    def _say(self, what: str, reason: str) -> None:
        """Let a reason stand in the place of the one before, beside the others."""
        before = self._reasons.get(what, "")
        self._reasons[what] = reason
        others = [each for each in self.device.reasons() if each != before or each in self._reasons.values()]
        self.device.say(*dict.fromkeys([*others, *filter(None, [reason])]))

    def _jobs(self, which: str) -> list[int]:
        jobs = self._lab.connection().getJobs(
            which_jobs=which, my_jobs=False, requested_attributes=["job-id", "job-printer-uri"]
        )
        return [number for number, job in jobs.items() if job["job-printer-uri"].endswith(f"/{self.name}")]


class RealServer:
    """The print server, which can be killed and started again."""

    def __init__(self, lab: PrinterLab, queues: Collection[RealQueue]) -> None:
        self._lab = lab
        self._queues = queues

    def kill(self) -> None:
        """End it as the kernel ends a process."""
        self._lab.kill()

    def start(self) -> None:
        """Start it again."""
        if self._lab.server is None:
            self._lab.start()
        for queue in self._queues:
            queue.set_up()
