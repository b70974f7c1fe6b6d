"""A whole booth that runs on a manual clock: the real parts, with the camera and the vision worker in step.

Only time is made up: the sitter is simulated as in the demo, frames are JPEG, landmarks are mediapipe's, the sheet is
a PDF in a folder. A minute of a session takes some seconds.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path
from typing import Literal

os.environ["SDL_VIDEODRIVER"] = "dummy"
os.environ["SDL_AUDIODRIVER"] = "dummy"

import pygame

from kiosk.booth.attendant_desk import AttendantDesk, DeskComponents
from kiosk.booth.components import Components
from kiosk.booth.loop import TICK_S, Loop
from kiosk.core.attendant.state import DeskConfig
from kiosk.core.document.document import Document
from kiosk.core.judging.doubt import Decider
from kiosk.core.session.booth_config import BoothConfig, Reception
from kiosk.core.session.commands import Turn
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.core.view.attendant import DeskIntent
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.devices.base import Printer
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.sim.camera import SimulatedDriver
from kiosk.devices.sim.scenario import Scenario
from kiosk.event.assembly import at_event
from kiosk.event.badge_tracker import BadgeTracker
from kiosk.event.roster_worker import RosterWorker
from kiosk.i18n import Words
from kiosk.pipeline.picture_jobs import JobResult, PictureJobs, Seeing
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.pipeline.worker import Worker
from kiosk.ready.shot import look_at_shot
from kiosk.screens.hardware.display import Display
from kiosk.screens.toolkit.scene import UserAct
from kiosk.screens.touch_screen import TouchScreen
from kiosk.store.desk_memory import DeskMemory
from kiosk.store.ledger import Bookkeeper
from kiosk.store.session_files import SessionFiles
from kiosk.system.clock import Clock
from kiosk.vision.live import LiveVision
from kiosk.vision.still import StillVision
from tests.support.inline_camera import InlineCamera
from tests.support.manual_clock import ManualClock
from tests.support.noted_print_queue import NotedPrintQueue
from tests.support.shipped import CATALOGUE

SITTER = Path(__file__).parents[2] / "demo" / "sitter"
TODAY = date(2026, 11, 25)
SLOW_TICK_S = 3 * TICK_S
"""A slow machine's turn of the loop: a third of the pictures, which are most of a session's work."""
PATIENCE_S = 60.0
"""How long a real thread is waited for; generous, because it only ends a test that has failed."""


class Pilot:
    """Drives a booth: lets time pass, taps what is on the screen, and remembers the states passed through."""

    def __init__(self, loop: Loop, parts: Components, folder: Path, tick_s: float = TICK_S) -> None:
        self.loop = loop
        self.parts = parts
        self.folder = folder
        self.tick_s = tick_s
        self.views: list[SessionView] = [loop.view]

    @property
    def view(self) -> SessionView:
        """What is on the screen."""
        return self.loop.view

    @property
    def states(self) -> list[str]:
        """The states in the order in which they were entered."""
        states = [view.state for view in self.views]
        return [state for index, state in enumerate(states) if index == 0 or state != states[index - 1]]

    def advance(self, seconds: float) -> None:
        """Let time pass."""
        for _ in range(max(1, round(seconds / self.tick_s))):
            self.parts.worker.turn()
            self.loop.tick()
            self.views.append(self.loop.view)
            self.parts.clock.sleep(self.tick_s)

    def wait_for(self, condition: Callable[[], object]) -> None:
        """Wait for what a real thread does, however long that takes, while the booth's clock hardly moves."""
        end_s = time.monotonic() + PATIENCE_S
        while not condition():
            assert time.monotonic() < end_s, f"waited in vain at {self.view.state} {self.states}"
            time.sleep(0.005)
            self.parts.worker.turn()
            self.loop.tick()
            self.views.append(self.loop.view)
            self.parts.clock.sleep(0.001)

    def let_the_print_queue_look(self) -> None:
        """Wait until the print queue's real thread has looked twice more at a printer that has failed.

        Once is enough where it could print: then it is not looked at again.
        """
        prints = self.parts.prints
        assert isinstance(prints, NotedPrintQueue)
        before = prints.looks
        self.wait_for(lambda: prints.looks >= before + (2 if prints.is_down else 1))
        self.advance(self.tick_s)

    def until(self, *states: str, limit_s: float = 90.0) -> None:
        """Let time pass until one of the states is reached, and let the worker do what it was given till then."""
        end_s, gives_up_s = self.parts.clock.now_s() + limit_s, time.monotonic() + 5 * PATIENCE_S
        while self.view.state not in states:
            assert self.parts.clock.now_s() < end_s, (
                f"still {self.view.state}: {self.view.align.instruction} {self.states}"
            )
            if self.view.state in ("printing", "out_of_order") or self.loop._sheets.are_on_their_way:
                time.sleep(0.005)  # the print queue is a real thread, and may take as long as the session lets it
                end_s += self.tick_s
                assert time.monotonic() < gives_up_s, f"still {self.view.state}: {self.states}"
            self.advance(self.tick_s)
        while not self.parts.worker._jobs.empty():
            self.parts.worker.turn()

    def tap(self, name: str, argument: str = "", rest_s: float = 0.5) -> None:
        """Tap a button that is on the screen, by touch events at its middle, and let time pass."""
        self.touch(Intent(name, argument), rest_s)

    def order(self, name: str, argument: str = "", rest_s: float = 0.4) -> None:
        """Tap a button of the attendant's desk."""
        self.touch(DeskIntent(name, argument), rest_s)

    def touch(self, wanted: UserAct, rest_s: float) -> None:
        """Tap what means `wanted`."""
        target = next(target for target in self.parts.screen.stage.targets if target.act == wanted)
        x, y = target.rect.centre.x, target.rect.centre.y
        for kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
            pygame.event.post(pygame.event.Event(kind, button=1, pos=(round(x), round(y))))
        self.advance(rest_s)

    def be_ready(self) -> None:
        """Go on from what the document asks, as an adult."""
        if self.view.state == "privacy":
            return
        acts = [target.act for target in self.parts.screen.stage.targets]
        wanted = next(act for act in acts if isinstance(act, Intent) and act.name == "ready")
        self.tap("ready", wanted.argument)

    def hold(self, x: float, y: float, seconds: float) -> None:
        """Rest a finger on a pixel."""
        down, up = (
            pygame.event.Event(kind, button=1, pos=(round(x), round(y)))
            for kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP)
        )
        pygame.event.post(down)
        self.advance(seconds)
        pygame.event.post(up)
        self.advance(0.1)

    def sign_in(self, pin: str) -> None:
        """Rest a finger on the upper edge, type a PIN on the screen, and wait for its check, a real thread's."""
        self.hold(100, 10, 3.2)
        for digit in pin:
            self.order("digit", digit)
        self.order("enter")
        self.wait_for_desk()

    def wait_for_desk(self) -> None:
        """Let the desk's threads end what they have begun."""
        assert self.parts.desk is not None
        while self.parts.desk.is_busy:
            time.sleep(0.002)
            self.advance(self.tick_s)
        self.advance(self.tick_s)

    def to_align(self, document_id: str) -> None:
        """Go from welcome to the camera."""
        self.advance(0.5)
        self.tap("start")
        self.tap("choose", document_id)
        self.be_ready()
        self.tap("agree")


@contextlib.contextmanager
def booth(
    folder: Path,
    *documents: str | Document,
    scenario: Scenario | None = None,
    printer: Printer | None = None,
    size: tuple[int, int] = (540, 960),
    shots: int = 4,
    burst: int = 1,
    sheets: tuple[int, ...] = (1,),
    papers: dict[str, SheetLayout] | None = None,
    lying_deg: Turn | None = None,
    pin_hash: str = "",
    release: Literal["free", "attendant"] = "free",
    doubt: Decider = "attendant",
    event: tuple[RosterWorker, Reception] | None = None,
    paper: str = "4x6in",
    still_px: tuple[int, int] = (1600, 2000),
    driver: Callable[[Path, Scenario, Clock], SimulatedDriver] = SimulatedDriver,
    hold_s: float = 0.0,
    tick_s: float = SLOW_TICK_S,
) -> Iterator[Pilot]:
    """Open a booth in `folder`, with the demo's sitter before it; or at an event.

    It runs as on a slow machine; the main job and the benches set the tick of a fast one.
    """
    clock = ManualClock(100.0, TODAY)
    catalogue = CATALOGUE
    offered = tuple(catalogue.get(each) if isinstance(each, str) else each for each in documents)
    config = BoothConfig(
        offered,
        languages=("en", "de", "ar"),
        shots=shots,
        burst=burst,
        still_px=still_px,
        sheets=sheets,
        papers={document.id: (medium(paper).short, *papers) for document in offered} if papers else {},
        lying_deg=lying_deg,
        release=release,
        doubt=doubt,
        attended=bool(pin_hash),
        reception=event and event[1],
    )
    camera = InlineCamera(driver(SITTER, scenario or Scenario(), clock), clock)
    with LiveVision() as live, StillVision() as stills, contextlib.ExitStack() as closing:
        display = Display(size)
        closing.callback(display.close)
        layout = SheetLayout(medium(paper), Margins(), 2.0)
        bench = PictureJobs(live, stills, layout, clock, simulated=True, papers=papers or {})
        printer = printer or FolderPrinter(folder / "prints", clock)
        ledger = Bookkeeper(folder / "state" / "ledger.sqlite3", clock, printer.how_it_ended)
        closing.callback(ledger.close)
        prints = NotedPrintQueue(printer, check_s=0.01, hold_s=hold_s, before=ledger.flush)
        closing.callback(prints.close)
        worker: Worker[Seeing, JobResult] = Worker(camera.newest, bench.look)
        files = SessionFiles(folder / "session")
        screen = TouchScreen(display, Words.load("en"))
        desk = AttendantDesk(
            DeskComponents(
                DeskConfig(bool(pin_hash)) if event is None else at_event(DeskConfig(bool(pin_hash)), event[0].design),
                pin_hash,
                DeskMemory(folder / "state" / "desk.json"),
                clock,
                survey=list,
                look_at=partial(look_at_shot, still_px=config.still_px),
            )
        )
        closing.callback(desk.close)
        badges = None
        if event is not None:
            closing.callback(event[0].close)
            badges = BadgeTracker(event[0], worker, bench, prints, ledger, clock)
        hear = camera.hear
        parts = Components(camera, worker, bench, prints, files, screen, clock, ledger, hear, desk=desk, badges=badges)
        camera.start()
        closing.callback(camera.close)
        yield Pilot(Loop(config, parts), parts, folder, tick_s)
