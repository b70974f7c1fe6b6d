"""A whole booth with a tethered camera that can be made to fail; everything but the camera's body is real.

It lives on the machine's own clock, because libgphoto2 and the responder do.
"""

from __future__ import annotations

import contextlib
import logging
import os
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from kiosk.booth.attendant_desk import AttendantDesk, DeskComponents
from kiosk.booth.components import Components
from kiosk.booth.health import camera as watch
from kiosk.booth.loop import TICK_S, Loop
from kiosk.core.attendant.state import DeskConfig
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.core.view.attendant import DeskIntent, DeskView
from kiosk.core.view.metrics import Metrics
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.printer.queue import PrintQueue
from kiosk.i18n import Words
from kiosk.page.messages import PinAnswer, PinAsked
from kiosk.pipeline.picture_jobs import JobResult, PictureJobs, Seeing
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.pipeline.worker import Worker
from kiosk.ready.shot import look_at_shot
from kiosk.screens.hardware.display import Display
from kiosk.screens.touch_screen import TouchScreen
from kiosk.store.desk_memory import DeskMemory
from kiosk.store.ledger import Bookkeeper
from kiosk.store.session_files import SessionFiles
from kiosk.system.clock import SystemClock
from kiosk.vision.live import LiveVision
from kiosk.vision.still import StillVision
from tests.ptpip.rig import ResponderProcess
from tests.support.pilot import Pilot
from tests.support.shipped import CATALOGUE

DOCUMENT = "gb-passport-print"
HANG_S = 300.0
"""After it a wait is given up; it tells a hang from a slow machine and is no promise."""


class Told(logging.Handler):
    """What the log tells the attendant: the house's own warnings and worse."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.sentences: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one sentence."""
        self.sentences.append(record.getMessage())


class WatchedPage:
    """An attendant's page that nobody visits, which remembers all that was shown there."""

    trouble = ""

    def __init__(self) -> None:
        self.sentences: list[str] = []

    def publish(self, view: DeskView, metrics: Callable[[], Metrics]) -> None:
        """Remember the lines."""
        for line in view.lines:
            if line.words not in self.sentences:
                self.sentences.append(line.words)

    def answer(self, asker: str, answer: PinAnswer) -> None:
        """Have asked nothing."""

    def poll(self) -> list[PinAsked | DeskIntent]:
        """Ask nothing."""
        return []


class TetheredBooth(Pilot):
    """A booth, and the other end of its camera's cable."""

    responder: ResponderProcess
    told: Told
    page: WatchedPage
    proc = Path("/proc")

    @property
    def camera(self) -> SupervisedCamera:
        """The camera as the loop has it."""
        camera = self.parts.camera
        assert isinstance(camera, SupervisedCamera)
        return camera

    @property
    def from_align(self) -> list[str]:
        """The states from the first look on, in their order."""
        return self.states[self.states.index("align") :]

    @property
    def warnings(self) -> list[str]:
        """What the log tells the attendant."""
        return self.told.sentences

    @property
    def untold(self) -> list[str]:
        """What the log told of the camera, and the attendant's desk and page never showed."""
        self.advance(2 * TICK_S)
        told = [warning.removeprefix("camera: ") for warning in self.warnings if warning.startswith("camera: ")]
        return [sentence for sentence in told if not any(sentence in shown for shown in self.page.sentences)]

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

    def until(self, *states: str, limit_s: float = HANG_S) -> None:
        """Let time pass until one of the states is reached."""
        super().until(*states, limit_s=limit_s)

    def until_true(self, condition: Callable[[], object], limit_s: float = HANG_S) -> float:
        """Let time pass until a condition holds, and return how long it took, in seconds."""
        began_s = time.monotonic()
        while not condition():
            assert time.monotonic() - began_s < limit_s, f"{self.view.state} {self.states} {self.warnings}"
            self.advance(TICK_S)
        return time.monotonic() - began_s

    def sees_sitter(self) -> bool:
        """Tell whether the live view runs."""
        return self.camera.state == "ready" and self.camera.newest() is not None


@contextlib.contextmanager
def tethered_booth(
    folder: Path,
    pictures: tuple[Path, Path],
    vision: tuple[LiveVision, StillVision],
    *options: str,
    limits: Timeouts | None = None,
    driver: type[TetheredDriver] = TetheredDriver,
    grace_s: float = watch.GRACE_S,
    bench: type[PictureJobs] = PictureJobs,
    shots: int = 4,
    keep: bool = False,
    off: bool = False,
    **attributes: object,
) -> Iterator[TetheredBooth]:
    """Open a booth in `folder`.

    Parameters
    ----------
    pictures
        The live frame and the still that the camera shows and takes.
    vision
        What looks at pictures.
    options
        More of the responder's command line.
    limits
        When the camera's process is given up.
    driver, attributes
        The driver's class, and attributes to give it.
    grace_s
        How long the booth waits for the camera before it says that it is out of order.
    bench
        The class of the work on pictures.
    keep
        Whether pictures stay on the camera's card.
    off
        Whether the camera is switched off at first.
    """
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    with contextlib.ExitStack() as closing:
        closing.callback(setattr, watch, "GRACE_S", watch.GRACE_S)
        watch.GRACE_S = grace_s
        told = Told()
        logging.getLogger("kiosk").addHandler(told)
        closing.callback(logging.getLogger("kiosk").removeHandler, told)
        responder = closing.enter_context(
            ResponderProcess(*pictures, "--clock-s", "0", "--frame-interval-s", "0.033", *options)
        )
        if off:
            responder.tell("off")
        tethered = driver(responder.address, keep=keep)
        vars(tethered).update(attributes)
        clock = SystemClock()
        config = BoothConfig((CATALOGUE.get(DOCUMENT),), shots=shots)
        camera = SupervisedCamera(tethered, limits)
        closing.callback(camera.close)
        display = Display((540, 960))
        closing.callback(display.close)
        work = bench(*vision, SheetLayout(medium("4x6in"), Margins(), 2.0), clock, simulated=True)
        printer = FolderPrinter(folder / "prints", clock)
        ledger = Bookkeeper(folder / "ledger.sqlite3", clock, printer.how_it_ended)
        closing.callback(ledger.close)
        prints = PrintQueue(printer)
        closing.callback(prints.close)
        worker: Worker[Seeing, JobResult] = Worker(camera.newest, work.look)
        files = SessionFiles(folder / "session")
        page = WatchedPage()
        memory = DeskMemory(folder / "desk.json")
        look_at = partial(look_at_shot, still_px=config.still_px)
        desk = AttendantDesk(DeskComponents(DeskConfig(False), "", memory, clock, tuple, look_at, page))
        closing.callback(desk.close)
        screen = TouchScreen(display, Words.load("en"))
        parts = Components(camera, worker, work, prints, files, screen, clock, ledger, desk=desk)
        camera.start()
        booth = TetheredBooth(Loop(config, parts), parts, folder)
        booth.responder, booth.told, booth.page = responder, told, page
        yield booth
