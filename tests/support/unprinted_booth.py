"""A booth in a process of its own, which keeps the photo of a sitter whose sheet its printer has failed."""

from __future__ import annotations

import time
from pathlib import Path

from kiosk.core.session.booth_config import UNPRINTED_S
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import Patience
from kiosk.devices.cups.printer import CupsPrinter
from kiosk.devices.cups.set_up import Printing
from kiosk.devices.sim.sitter import Pose, Scenario
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import SystemClock
from kiosk.system.memory import keep_to_itself
from tests.support.pilot import Pilot, booth

STILL = Scenario(seed=3, arrives_s=0.0, begins=Pose())


def print_photo(pilot: Pilot) -> None:
    """Go through a session as far as the printer."""
    pilot.to_align("gb-passport-print")
    pilot.until("review")
    pilot.tap("accept")


def own_unprinted_photo(folder: Path, queue: str, port: int) -> None:
    """Keep a photo that was not printed, write it to `photo`, and let its time pass once there is a file `leave`."""
    keep_to_itself()
    how = Printing(medium("4x6in"), Margins(), patience=Patience(50.0, 0.6, 40.0))
    scales, journal = Scales(folder / "scales"), JobJournal(folder / "jobs")
    printer = CupsPrinter(Queue(queue, "localhost", port), how, scales, journal, SystemClock())
    with booth(folder, "gb-passport-print", scenario=STILL, printer=printer) as pilot:
        print_photo(pilot)
        pilot.until("unprinted", limit_s=500.0)
        (folder / "photo").write_bytes(pilot.view.review.photo_jpeg)
        pilot.views.clear()
        print("ready", 0, flush=True)
        while not (folder / "leave").exists():
            time.sleep(0.05)
        pilot.parts.clock.sleep(UNPRINTED_S)
        pilot.until("welcome", "out_of_order")
        while True:
            pilot.advance(0.1)
            pilot.views.clear()
            time.sleep(0.01)
