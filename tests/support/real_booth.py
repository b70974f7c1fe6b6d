"""A booth between both real chains: libgphoto2 and a camera's body that speaks PTP/IP, cupsd and two virtual printers.

The booth is a process of its own (`booth_process.py`) and can be killed and opened again; body, server and printers
outlive it. What happens to them is shortened (`pace.SHORT`).
"""

from __future__ import annotations

import contextlib
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from multiprocessing.connection import Pipe
from pathlib import Path
from typing import Any

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from tests.ptpip.rig import ROOT, ResponderProcess
from tests.support.booth_messages import Build, LeaveNothing, Turn, Turned
from tests.support.booth_process import LAYOUT
from tests.support.happenings import times
from tests.support.marked_pictures import Mark
from tests.support.pace import SHORT
from tests.support.printer_lab import INDEX, printer_lab
from tests.support.real_printers import RealQueue, RealServer
from tests.support.sights import DOCUMENT
from tests.support.virtual_printer import Model, paper, wait_for

BODIES = (("nikon",), ("nikon", "--card", "--reuse"), ("canon",), ("canon", "--card", "--reuse"))
PHOTO_PRINTER = Model((paper(INDEX, (300, 300, 300, 300)),))
FRAME_S = 0.05
"""Between two live frames: fewer than a camera's thirty a second, so that several booths have room on a machine."""
ENDS_S = 30.0
KILLED_S = (0.0, 0.001, 0.003, 0.01)
"""How long after a turn began the booth is killed: one takes some milliseconds."""
LOG_LINES = 200


class RealBody:
    """A body at the other end of a cable."""

    def __init__(self, responder: ResponderProcess) -> None:
        self._responder = responder
        self.late_s = 0.0

    def sit(self, sitter: int) -> None:
        """Let somebody sit down before it."""
        self._responder.tell(f"sitter {sitter}")

    def press(self, *, is_held: bool = False) -> None:
        """Take a picture by the body's own button; one that is held back is told of in the next capture."""
        self._responder.tell("press held" if is_held else "press")

    def pull(self) -> None:
        """Pull the cable."""
        self._responder.tell("off")

    def plug(self) -> None:
        """Connect it again."""
        self._responder.tell("on")

    def fail(self, fault: str) -> None:
        """Let something go wrong at its next turn."""
        self._responder.tell(f"late {self.late_s}")
        self._responder.fault(fault, times(fault))

    def was_ordered(self, exposure: int) -> bool:
        """Return whether a still was ordered, or taken in the moment of one that was."""
        return self._responder.tell(f"ordered {exposure}") == "True"

    def left(self) -> int:
        """Return how many files lie on it."""
        return int(self._responder.tell("objects"))


@dataclass
class RealSights:
    """Whom the vision has seen, by the booth's last turns."""

    live: set[Mark] = field(default_factory=set)
    measured: set[Mark] = field(default_factory=set)


class RealBooth:
    """A booth that is open in a process of its own."""

    def __init__(self, build: Build, sights: RealSights) -> None:
        self._sights = sights
        self._touched: list[Intent] = []
        self._submitted: list[str] = []
        self._pipe, theirs = Pipe()
        with theirs:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "tests.support.booth_process", str(theirs.fileno())],
                pass_fds=[theirs.fileno()],
                cwd=ROOT,
                env=os.environ | {"PYTHONPATH": str(ROOT)},
            )
        self._pipe.send(build)
        self._turned = self._take_turn()

    @property
    def view(self) -> SessionView:
        """What is shown."""
        return self._turned.view

    @property
    def is_at_rest(self) -> bool:
        """Whether its camera is ready and no sheet is on its way."""
        return self._turned.is_at_rest

    def touch(self, intent: Intent) -> None:
        """Touch the screen."""
        self._touched.append(intent)

    def turn(self, seconds: float) -> SessionView:
        """Let one turn of the loop and so many seconds pass, and return what is shown."""
        began_s = time.monotonic()
        self._turned = self._take_turn()
        time.sleep(max(0.0, seconds - (time.monotonic() - began_s)))
        return self._turned.view

    def submitted(self) -> list[str]:
        """Return the keys of the sheets that were sent since the last call."""
        keys, self._submitted = self._submitted, []
        return keys

    def kill_camera(self) -> None:
        """Kill the process that has the camera."""
        if self._turned.camera_pid is not None:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self._turned.camera_pid, signal.SIGKILL)

    def left_behind(self) -> list[str]:
        """Let it do all that it was given; return what is left of a sitter, of whom nothing may be."""
        left: list[str] = self._ask(LeaveNothing())
        return left

    def kill(self, after_s: float = 0.0) -> None:
        """End it as the kernel ends a process, so long after it began with another turn."""
        with contextlib.suppress(OSError):
            self._pipe.send(Turn(()))
        time.sleep(after_s)
        self._process.kill()
        self._process.wait()
        self._pipe.close()
        if self._turned.camera_pid is not None:
            pid = self._turned.camera_pid
            wait_for(lambda: not _runs(pid), "the camera's process outlives the booth")

    def close(self) -> None:
        """End it in order."""
        if self._process.poll() is not None:
            return
        try:
            self._ask(None)
            self._process.wait(ENDS_S)
            assert self._process.returncode == 0, "the booth did not end in order"
        finally:
            self.kill()

    def _take_turn(self) -> Turned:
        touched, self._touched = tuple(self._touched), []
        turned: Turned = self._ask(Turn(touched))
        self._submitted += turned.submitted
        self._sights.live |= turned.live
        self._sights.measured |= turned.measured
        return turned

    def _ask(self, order: object) -> Any:
        self._pipe.send(order)
        return self._pipe.recv()


def _runs(pid: int) -> bool:
    """Return whether a process runs; one that has ended may wait for whoever reaps it."""
    try:
        return "\nState:\tZ" not in Path(f"/proc/{pid}/status").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False


@dataclass
class RealSurroundings:
    """What a booth stands in: its folder, the camera's body and two queues with their printers."""

    build: Build
    body: RealBody
    queues: tuple[RealQueue, RealQueue]
    server: RealServer
    sights: RealSights
    booth: RealBooth
    _chance: random.Random
    pace = SHORT
    sends_again = True

    @property
    def folder(self) -> Path:
        """Where the booth keeps what outlives it."""
        return self.build.folder

    def now_s(self) -> float:
        """Return the time."""
        return time.monotonic()

    def open_again(self) -> None:
        """Kill the booth, and open it anew on what it has left."""
        self.booth.kill(self._chance.choice(KILLED_S))
        self.booth = RealBooth(self.build, self.sights)

    def close(self) -> None:
        """End the booth."""
        self.booth.close()

    def told(self) -> str:
        """Return what the booth's log has told last."""
        return "\n" + "\n".join((self.folder / "log").read_text().splitlines()[-LOG_LINES:])


@contextlib.contextmanager
def real_surroundings(folder: Path, seed: int) -> Iterator[RealSurroundings]:
    """Open a booth in a folder; its devices differ from seed to seed."""
    chance = random.Random(seed)
    maker, *more = chance.choice(BODIES)
    options = "--maker", maker, "--clock-s", str(chance.choice((-86400 * 400, -7, 3600, 0))), *more
    (photo,) = LAYOUT.impose(DOCUMENT).photos
    with contextlib.ExitStack() as closing:
        lab = closing.enter_context(printer_lab())
        queues = [RealQueue(lab, lab.queue(name, PHOTO_PRINTER), photo.rect_mm) for name in ("first", "second")]
        for queue in queues:
            (queue.device.folder / "pace").write_text(str(chance.choice((0.0, 0.4, 1.5, 1.5, 3.0))))
            if chance.random() < 0.2:
                (queue.device.folder / "uncounted").touch()
        responder = ResponderProcess(None, None, *options, "--frame-interval-s", str(FRAME_S))
        closing.callback(responder.close)
        build = Build(
            folder, responder.address, lab.port, ("first", "second"), chance.choice((1, 1, 3)), str(chance.random())
        )
        sights = RealSights()
        booth, server = RealBooth(build, sights), RealServer(lab, queues)
        around = RealSurroundings(build, RealBody(responder), (queues[0], queues[1]), server, sights, booth, chance)
        closing.callback(around.close)
        yield around
