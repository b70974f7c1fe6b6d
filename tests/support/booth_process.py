"""A whole booth in a process of its own, on the machine's clock, which takes a turn of its loop whenever it is told to.

    python -m tests.support.booth_process PIPE

Loop, session, files, ledger, print queue, both printers and the supervised camera are the booth's own; ready-made are
what the vision sees and the screen, which shows nothing. `real_booth.py` is the other end of the pipe. It ends when
that is told, or gone. The booth's limits are shortened with `pace.SHORT`.
"""

from __future__ import annotations

import logging
import random
import sys
import time
from multiprocessing.connection import Connection
from typing import Any

from kiosk.booth.components import Components
from kiosk.booth.loop import Loop
from kiosk.core.session.booth_config import IDLE_S, BoothConfig
from kiosk.core.sheet.imposition import Margins
from kiosk.core.view.intent import Intent
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import Patience
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.printer.fallback import FallbackPrinter
from kiosk.pipeline.picture_jobs import PictureJobs
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.pipeline.worker import Worker
from kiosk.store.ledger import Bookkeeper
from kiosk.store.session_files import SessionFiles
from kiosk.system.children import end_with_parent
from kiosk.system.clock import SystemClock
from tests.support.booth_messages import Build, LeaveNothing, Turn, Turned
from tests.support.marked_sights import Sights, SilentScreen, left_in
from tests.support.noted_print_queue import NotedPrintQueue
from tests.support.proven_printer import PAPER, printer_on
from tests.support.sights import DOCUMENT

LAYOUT = SheetLayout(PAPER, Margins(), 2.0, count=1)
LIMITS = Timeouts(start_s=20.0, frame_age_s=3.0, resume_s=6.0, shot_s=4.0)
"""A shot is given up after a third of the usual time; the others leave room for a busy machine."""
PATIENCE = Patience(limit_s=30.0, obstacle_s=2.0, recall_s=5.0)
"""An obstacle is borne for a tenth of the usual time."""
PRINTS = {"check_s": 0.5, "idle_s": 3.0, "hold_s": 15.0}
"""A sheet is held for a twelfth of the usual time."""
IDLE_SHARE, IDLE_LEAST_S = 0.1, 4.0
WAITS = ("shooting", "measuring", "printing")
"""The states in which a device is waited for, as long as usual."""
WIPED_S = 60.0
"""After it a file is left for good: the worker does one job after another."""


class _Booth:
    """The booth in this process."""

    def __init__(self, build: Build) -> None:
        clock, folder = SystemClock(), build.folder
        self._screen, self._sights = SilentScreen(), Sights(random.Random(build.seed))
        queues = [Queue(name, "localhost", build.server_port) for name in build.queues]
        printer = FallbackPrinter(*(printer_on(queue, folder, clock, PATIENCE) for queue in queues))
        self._ledger = Bookkeeper(folder / "ledger.sqlite3", clock, printer.how_it_ended)
        self._prints = NotedPrintQueue(printer, before=self._ledger.flush, **PRINTS)
        self._camera = SupervisedCamera(TetheredDriver(build.camera), LIMITS)
        jobs = PictureJobs(self._sights, self._sights, LAYOUT, clock, simulated=True)  # type: ignore[arg-type]
        self._worker: Worker[Any, Any] = Worker(self._camera.newest, jobs.look)
        self._files = SessionFiles(folder / "session")
        idle_s = {state: s if state in WAITS else max(s * IDLE_SHARE, IDLE_LEAST_S) for state, s in IDLE_S.items()}
        parts = Components(
            self._camera,
            self._worker,
            jobs,
            self._prints,
            self._files,
            self._screen,  # type: ignore[arg-type]
            clock,
            self._ledger,
        )
        self._camera.start()
        self._worker.start()
        self._loop = Loop(BoothConfig((DOCUMENT,), burst=build.burst, idle_s=idle_s), parts)

    def turn(self, touched: tuple[Intent, ...]) -> Turned:
        """Take a turn of the loop."""
        self._screen.touched += touched
        self._loop.tick()
        is_at_rest = self._camera.state == "ready" and self._prints.is_idle
        submitted, self._prints.submitted = tuple(self._prints.submitted), []
        seen = self._sights
        live, seen.live, measured, seen.measured = seen.live, set(), seen.measured, set()
        return Turned(self._screen.view, is_at_rest, self._camera.pid, submitted, frozenset(live), frozenset(measured))

    def left_behind(self) -> list[str]:
        """Do all that is to be done, and return what is left of the sitter."""
        assert self._ledger.flush(WIPED_S), "the ledger is not written"
        end_s = time.monotonic() + WIPED_S
        while self._files.names() and time.monotonic() < end_s:
            time.sleep(0.02)
        return [*self._files.names(), *left_in(self._loop.session)]

    def close(self) -> None:
        """End it in order."""
        self._camera.close()
        self._prints.close()
        self._worker.close()
        self._ledger.close()


def main() -> None:
    """Serve until the other end is closed."""
    pipe = Connection(int(sys.argv[1]))
    build: Build = pipe.recv()
    logging.basicConfig(
        filename=build.folder / "log", level=logging.INFO, format="%(asctime)s %(name)s %(levelname)s %(message)s"
    )
    booth = _Booth(build)
    end_with_parent(pipe.fileno())
    while True:
        match pipe.recv():
            case Turn(touched):
                pipe.send(booth.turn(touched))
            case LeaveNothing():
                pipe.send(booth.left_behind())
            case None:
                booth.close()
                pipe.send(None)
                return


if __name__ == "__main__":
    main()
