"""A whole booth on a stepped clock: its loop, session, files, ledger, printers and camera are its own.

Made up are what the vision sees, the screen, which shows nothing, and the far ends: the camera's body
(`stepped_camera.py`), and the print server with its printers (`stepped_printers.py`). Those outlive the booth, which
can be killed and opened again on the same folder.
"""

from __future__ import annotations

import contextlib
import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest import mock

from kiosk.booth.components import Components
from kiosk.booth.loop import Loop
from kiosk.core.base.geometry import Rect, Size
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.sheet.imposition import Margins
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.printer.fallback import FallbackPrinter
from kiosk.pipeline import photo
from kiosk.pipeline.picture_jobs import PictureJobs
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.pipeline.worker import Worker
from kiosk.render.sheet.photo import Photo, render_photo
from kiosk.store.ledger import Bookkeeper
from kiosk.store.session_files import SessionFiles
from tests.support.marked_pictures import Pixels
from tests.support.marked_sights import Sights, SilentScreen, left_in
from tests.support.pace import USUAL
from tests.support.proven_printer import PAPER, printer_on
from tests.support.sights import DOCUMENT
from tests.support.stepped_body import BODIES, MadeUpBody
from tests.support.stepped_camera import SteppedChild, stepped_cameras
from tests.support.stepped_clock import SteppedClock
from tests.support.stepped_printers import MadeUpQueue, SteppedPrintQueue, made_up_queue

PORT = "made up"
BURSTS = (1, 1, 3)
COARSE_DPI = 50.0


class SteppedDriver(TetheredDriver):
    """The driver of tethered cameras, whose body sets the pace."""

    frame_interval_s = 0.0


def coarse_photo(rgb: Pixels, rect_px: Rect, size_mm: Size, _: float, **more: Any) -> Photo:
    """Return the photo at so few dots that it costs nothing, because only its colours are looked at."""
    return render_photo(rgb, rect_px, size_mm, COARSE_DPI, **more)


class OpenBooth:
    """A booth that is open, until it is closed or killed."""

    def __init__(self, folder: Path, clock: SteppedClock, queues: tuple[MadeUpQueue, ...], sights: Sights, burst: int):
        self.clock = clock
        self.screen = SilentScreen()
        first, second = (printer_on(each, folder, clock) for each in queues)
        printer = FallbackPrinter(first, second)
        self.ledger = Bookkeeper(folder / "ledger.sqlite3", clock, printer.how_it_ended)
        self.prints = SteppedPrintQueue(printer, clock, self.ledger.flush)
        self.camera = SupervisedCamera(SteppedDriver(PORT), clock=clock)
        layout = SheetLayout(PAPER, Margins(), 2.0, count=1)
        jobs = PictureJobs(sights, sights, layout, clock, simulated=True)  # type: ignore[arg-type]
        self.worker: Worker[Any, Any] = Worker(self.camera.newest, jobs.look)
        self.files = SessionFiles(folder / "session")
        config = BoothConfig((DOCUMENT,), burst=burst)
        parts = Components(
            self.camera,
            self.worker,
            jobs,
            self.prints,
            self.files,
            self.screen,
            clock,
            self.ledger,  # type: ignore[arg-type]
        )
        self.camera.start()
        self.loop = Loop(config, parts)

    @property
    def view(self) -> SessionView:
        """What is shown."""
        return self.screen.view

    @property
    def is_at_rest(self) -> bool:
        """Whether its camera is ready and no sheet is on its way."""
        return self.camera.state == "ready" and self.prints.is_idle

    def touch(self, intent: Intent) -> None:
        """Touch the screen."""
        self.screen.touched.append(intent)

    def turn(self, seconds: float) -> SessionView:
        """Let one turn of the loop and so many seconds pass, and return what is shown."""
        self.worker.turn()
        self.loop.tick()
        self.clock.sleep(seconds)
        return self.screen.view

    def submitted(self) -> list[str]:
        """Return the keys of the sheets that were sent since the last call."""
        keys = self.prints.submitted[:]
        self.prints.submitted.clear()
        return keys

    def kill_camera(self) -> None:
        """Kill the process that has the camera."""
        for child in SteppedChild.born[-2:]:
            if child.pid == self.camera.pid and not child.is_gone:
                child.die()

    def left_behind(self) -> list[str]:
        """Let it do all that it was given; return what is left of a sitter, of whom nothing may be."""
        while not self.worker._jobs.empty():
            self.worker.turn()
        assert self.ledger.flush(60.0), "the ledger is not written"
        return [*self.files.names(), *left_in(self.loop.session)]

    def kill(self) -> None:
        """End it as the kernel ends a process: the ledger's facts reach the disk."""
        self.prints.kill()
        for child in SteppedChild.born:
            if not child.is_gone:
                child.kill()
        SteppedChild.born.clear()
        self.ledger.close()
        if self.camera._pictures:
            self.camera._pictures.close()


@dataclass
class SteppedSurroundings:
    """What a booth stands in: its folder, its clock, the camera's body and two queues with their printers."""

    folder: Path
    clock: SteppedClock
    chance: random.Random
    body: MadeUpBody
    queues: tuple[MadeUpQueue, MadeUpQueue]
    sights: Sights
    burst: int
    booth: OpenBooth
    pace = USUAL
    sends_again = False
    server = None

    def now_s(self) -> float:
        """Return the time."""
        return self.clock.now_s()

    def told(self) -> str:
        """Return nothing, because it keeps no log."""
        return ""

    def open_again(self) -> None:
        """Kill the booth, and open it anew on what it has left."""
        self.booth.kill()
        self.booth = OpenBooth(self.folder, self.clock, self.queues, self.sights, self.burst)


@contextlib.contextmanager
def surroundings(folder: Path, seed: int) -> Iterator[SteppedSurroundings]:
    """Open a booth in a folder; its devices differ from seed to seed."""
    chance = random.Random(seed)
    clock = SteppedClock(1000.0)
    body = MadeUpBody(
        clock,
        clock_s=chance.choice((-86400.0 * 400, -7.0, 3600.0, 0.0)),
        forgets_events=chance.random() < 0.5,
        reuses_names=chance.random() < 0.5,
    )
    BODIES[PORT] = body
    queues = made_up_queue("first", clock, chance), made_up_queue("second", clock, chance)
    for each in queues:
        each.printer.print_s = chance.choice((2.0, 8.0, 8.0, 20.0, 20.0, 45.0, 120.0))
        each.printer.counts = chance.random() < 0.8
        each.lies = chance.random() < 0.3
    sights, burst = Sights(chance), chance.choice(BURSTS)
    with stepped_cameras(clock), mock.patch.object(photo, "render_photo", coarse_photo):
        around = SteppedSurroundings(
            folder, clock, chance, body, queues, sights, burst, OpenBooth(folder, clock, queues, sights, burst)
        )
        try:
            yield around
        finally:
            around.booth.kill()
