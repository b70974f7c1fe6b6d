"""A whole booth with a tethered camera, which can be made to fail; everything but the camera's body is real."""

from __future__ import annotations

import contextlib
import logging
import os
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from kiosk.catalogue import Catalogue
from kiosk.clock import SystemClock
from kiosk.core.media import medium
from kiosk.core.session import House
from kiosk.core.sheet import Margins
from kiosk.devices.camera_process import CameraProcess, Limits
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.print_queue import PrintQueue
from kiosk.devices.worker import Worker
from kiosk.i18n import Words
from kiosk.loop import Loop, Parts
from kiosk.pipeline import Bench, Layout, Looked, Outcome
from kiosk.screens.display import Display
from kiosk.screens.touch_screen import TouchScreen
from kiosk.store.ledger import Bookkeeper
from kiosk.store.session_files import SessionFiles
from kiosk.vision.live import LiveVision
from kiosk.vision.still import StillVision
from tests.pilot import Pilot
from tests.ptpip.rig import ResponderProcess, sitter_pictures

DOCUMENT = "gb-passport-print"
RECOVERY_S = 3.0
"""From the camera's return to the live view, as promised."""


class TetheredBooth(Pilot):
    """A booth on the machine's own clock, and the other end of its camera's cable."""

    responder: ResponderProcess
    told: pytest.LogCaptureFixture
    proc = Path("/proc")

    @property
    def camera(self) -> CameraProcess:
        """The camera as the loop has it."""
        camera = self.parts.camera
        assert isinstance(camera, CameraProcess)
        return camera

    @property
    def warnings(self) -> list[str]:
        """What the log tells the attendant."""
        told = [record for record in self.told.records if record.name.startswith("kiosk")]
        return [record.getMessage() for record in told if record.levelno >= logging.WARNING]

    def to_state(self, state: str) -> None:
        """Go to a state in the usual way."""
        self.until_true(lambda: self.camera.state == "ready")
        steps: dict[str, Callable[[], None]] = {
            "welcome": lambda: None,
            "choose": lambda: self.tap("start"),
            "prepare": lambda: self.tap("choose", DOCUMENT),
            "privacy": self.be_ready,
            "align": lambda: self.tap("agree", rest_s=0.1),
            "shooting": lambda: self.until("shooting"),
            "measuring": lambda: self.until("measuring"),
            "review": lambda: self.until("review"),
            "printing": lambda: (self.advance(0.5), self.tap("accept")),
            "collect": lambda: self.until("collect"),
        }
        self.advance(0.2)
        for name, step in steps.items():
            step()
            if name == state:
                return

    def until_true(self, condition: Callable[[], object], limit_s: float = 40.0) -> float:
        """Let time pass until a condition holds, and return how long it took, in seconds."""
        began_s = time.monotonic()
        while not condition():
            assert time.monotonic() - began_s < limit_s, f"{self.view.state} {self.states} {self.warnings}"
            self.advance(1 / 30)
        return time.monotonic() - began_s

    def sees_sitter(self) -> bool:
        """Tell whether the live view runs."""
        return self.camera.state == "ready" and self.camera.newest() is not None


@pytest.fixture(scope="session")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Return a live frame and a still of a sitter who sits well."""
    return sitter_pictures(tmp_path_factory.mktemp("pictures"))


@pytest.fixture(scope="session")
def vision() -> Iterator[tuple[LiveVision, StillVision]]:
    """Load what looks at pictures, once."""
    with LiveVision() as live, StillVision() as stills:
        yield live, stills


@pytest.fixture
def open_booth(
    tmp_path: Path,
    pictures: tuple[Path, Path],
    vision: tuple[LiveVision, StillVision],
    caplog: pytest.LogCaptureFixture,
) -> Iterator[Callable[..., TetheredBooth]]:
    """Return a function that opens a booth; its arguments go to the responder."""
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    with contextlib.ExitStack() as closing:

        def opened(
            *options: str,
            limits: Limits | None = None,
            driver: type[TetheredDriver] = TetheredDriver,
            keep: bool = False,
            off: bool = False,
            **attributes: object,
        ) -> TetheredBooth:
            responder = closing.enter_context(ResponderProcess(*pictures, "--frame-interval-s", "0.033", *options))
            if off:
                responder.tell("off")
            tethered = driver(responder.address, keep=keep)
            vars(tethered).update(attributes)
            clock = SystemClock()
            house = House((Catalogue.load().get(DOCUMENT),), shots=4)
            camera = CameraProcess(tethered, limits)
            closing.callback(camera.close)
            display = Display((540, 960))
            closing.callback(display.close)
            bench = Bench(*vision, Layout(medium("4x6in"), Margins(), 2.0), clock, simulated=True)
            printer = FolderPrinter(tmp_path / "prints", clock)
            ledger = Bookkeeper(tmp_path / "ledger.sqlite3", clock, printer.how_it_ended)
            closing.callback(ledger.close)
            prints = PrintQueue(printer)
            closing.callback(prints.close)
            worker: Worker[Looked, Outcome] = Worker(camera.newest, bench.look)
            files = SessionFiles(tmp_path / "session")
            parts = Parts(camera, worker, bench, prints, files, TouchScreen(display, Words.load("en")), clock, ledger)
            camera.start()
            booth = TetheredBooth(Loop(house, parts), parts, tmp_path)
            booth.responder, booth.told = responder, caplog
            return booth

        yield opened


@pytest.fixture
def booth(open_booth: Callable[..., TetheredBooth]) -> TetheredBooth:
    """Return an open booth."""
    return open_booth()
