"""A camera body on a manual clock with its files, its events and its faults, in the place of libgphoto2."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import dataclass, field
from datetime import timedelta
from types import SimpleNamespace
from typing import Any

from kiosk.devices.camera.driver import NotThere
from kiosk.devices.gphoto2.connect import CameraBusy, ConnectionLost
from kiosk.errors import CameraFault
from tests.support.exif import marked_with_time
from tests.support.exposures import Exposures
from tests.support.happenings import FAULTS, times
from tests.support.marked_pictures import LIVE_PX, STILL_PX, Mark, picture
from tests.support.stepped_clock import SteppedClock

FRAME_S = 0.5
"""Between two live frames; each costs a turn of the child."""
CAPTURE_S = 0.6
OBJECT_S = 20.0
"""How long libgphoto2 waits for the picture of a capture (measured, `devices.camera.timeouts`)."""
HANG_S = 300.0
"""How long an operation hangs that is never answered: longer than any watchdog waits."""
FOLDER = "/store/100TESTB"

GPHOTO2 = SimpleNamespace(
    GP_CAPTURE_IMAGE=0,
    GP_EVENT_TIMEOUT=1,
    GP_EVENT_FILE_ADDED=2,
    GP_FILE_TYPE_NORMAL=1,
    GP_STORAGEINFO_FREESPACEIMAGES=128,
    GP_WIDGET_RADIO=5,
    GP_WIDGET_MENU=6,
)


@dataclass
class _File:
    content: bytes
    told_s: float
    is_told: bool = False


@dataclass
class MadeUpBody:
    """A camera body, from power on to power off, before which sitters come and go.

    Attributes
    ----------
    clock_s
        How far its clock is ahead of the machine's; None of a body that keeps no time.
    forgets_events
        Whether what it had to tell is lost with the connection, as libgphoto2 loses it with a Canon EOS.
    reuses_names
        Whether a new picture takes the lowest name that is free.
    late_s
        How long after it was taken a late picture is told of.
    exposures
        Every still that it has taken.
    """

    clock: SteppedClock
    clock_s: float | None = 3600.0
    forgets_events: bool = False
    reuses_names: bool = False
    late_s: float = 5.0
    sitter: int = 0
    is_on: bool = True
    faults: Counter[str] = field(default_factory=Counter)
    files: dict[str, _File] = field(default_factory=dict)
    connection: BodyConnection | None = None

    def __post_init__(self) -> None:
        self.exposures = Exposures(self.clock.now_s)

    def sit(self, sitter: int) -> None:
        """Let somebody sit down before it."""
        self.sitter = sitter

    def was_ordered(self, exposure: int) -> bool:
        """Return whether a still was ordered, or taken in the moment of one that was."""
        return self.exposures.known[exposure].is_of_an_order

    def left(self) -> int:
        """Return how many files lie on it."""
        return len(self.files)

    def fail(self, fault: str) -> None:
        """Let something go wrong at its next turn."""
        assert fault in FAULTS
        self.faults[fault] += times(fault)

    def is_due(self, fault: str) -> bool:
        """Return whether a fault is to happen now, and count it."""
        if self.faults[fault] <= 0:
            return False
        self.faults[fault] -= 1
        return True

    def press(self, *, is_held: bool = False) -> None:
        """Take a picture by the body's own button; one that is held back is told of in the next capture."""
        if self.is_on:
            self.take(after_s=math.inf if is_held else 0.0)

    def pull(self) -> None:
        """Pull the cable, or switch the body off."""
        self.is_on = False
        if self.connection is not None:
            self.connection.is_broken = True

    def plug(self) -> None:
        """Connect it again."""
        self.is_on = True

    def frame(self) -> bytes:
        """Return what is seen now."""
        jpeg = _live(self.sitter)
        if self.is_due("huge_preview"):
            at = jpeg.index(b"\xff\xc0") + 5  # SOF0 (ITU-T T.81, B.2.2): marker, length, precision, height, width
            jpeg = jpeg[:at] + b"\xff" * 4 + jpeg[at + 4 :]
        return b"no picture" * 100 if self.is_due("no_preview") else jpeg

    def capture(self) -> str:
        """Take a picture that was ordered, and return its name."""
        for held in self.files.values():
            held.told_s = 0.0 if held.told_s == math.inf else held.told_s
        if self.is_due("press_at_capture"):
            self.press()
        is_late, stalls = self.is_due("late_object"), self.is_due("stall_late")
        name = self.take(after_s=self.late_s if is_late or stalls else 0.0)
        jpeg = self.files[name].content
        if self.is_due("truncate"):
            self.files[name].content = jpeg[: len(jpeg) // 2]
        if stalls:
            self.clock.wait(HANG_S)
        return name

    def take(self, *, after_s: float = 0.0) -> str:
        """Put a picture of whoever is there on the card, tell of it after a while, and return its name."""
        number = self.exposures.take(self.sitter)
        jpeg = picture(Mark(self.sitter, number), *STILL_PX)
        if self.clock_s is not None:
            jpeg = marked_with_time(jpeg, self.clock.now() + timedelta(seconds=self.clock_s))
        names = (f"DSC_{n:04}.JPG" for n in itertools.count(1 if self.reuses_names else number))
        name = next(name for name in names if name not in self.files)
        self.files[name] = _File(jpeg, self.clock.now_s() + after_s)
        return name

    def event(self) -> str | None:
        """Return the next picture of which it tells now, once."""
        now_s = self.clock.now_s()
        for name, file in self.files.items():
            if not file.is_told and file.told_s <= now_s:
                file.is_told = True
                return name
        return None

    def connected(self, connection: BodyConnection) -> None:
        """Begin anew with a connection; what was to be told before it may be lost."""
        self.connection = connection
        for file in self.files.values() if self.forgets_events else ():
            file.is_told = file.is_told or file.told_s != math.inf


_LIVES: dict[int, bytes] = {}


def _live(sitter: int) -> bytes:
    if sitter not in _LIVES:
        _LIVES.clear()
        _LIVES[sitter] = picture(Mark(sitter), *LIVE_PX)
    return _LIVES[sitter]


BODIES: dict[str, MadeUpBody] = {}
"""The bodies by their ports."""


class BodyConnection:
    """A connection to a made-up body, as `kiosk.devices.gphoto2.connect.Connection` is one to libgphoto2."""

    library = GPHOTO2
    model = "Made-up body"

    def __init__(self, port: str = "", model: str = "") -> None:
        self._body = BODIES[port]
        self.is_broken = False
        self._clock = self._body.clock
        self._clock.wait(0.2)
        if not self._body.is_on:
            raise NotThere(detail="no camera is connected, or it is switched off")
        self._body.connected(self)

    def call(self, name: str, *arguments: Any) -> Any:
        """Call what the library has under this name; errors as of the real one."""
        self._check()
        answer = getattr(self, f"_{name}")(*arguments)
        self._check()
        return answer

    def copied(self, name: str, *arguments: Any) -> bytes:
        """Call what returns a file."""
        content: bytes = self.call(name, *arguments)
        return content

    def close(self) -> None:
        """Let go of the camera."""
        self.is_broken = True

    def _check(self) -> None:
        self._clock.check()
        if self.is_broken:
            raise ConnectionLost(detail="the connection broke; its cable may be loose")

    def _drop(self) -> None:
        self.is_broken = True
        self._check()

    def _get_single_config(self, name: str) -> Any:
        if name == "datetime" and self._body.clock_s is not None:
            now_s = self._body.clock.now().timestamp() + self._body.clock_s
            return SimpleNamespace(get_value=lambda: int(now_s))
        raise CameraFault(detail="it has no such setting")

    def _capture_preview(self) -> bytes:
        self._clock.wait(FRAME_S)
        if self._body.is_due("drop_preview"):
            self._drop()
        if self._body.is_due("stall_preview"):
            self._clock.wait(HANG_S)
        return self._body.frame()

    def _capture(self, _: int) -> Any:
        body = self._body
        if body.is_due("busy_capture"):
            raise CameraBusy(detail="it is busy")
        if body.is_due("focus"):
            raise CameraFault(detail="it could not focus on the sitter")
        if body.is_due("drop_capture"):
            with body.exposures.shot():
                body.capture()
            self._drop()
        if body.is_due("stall_capture"):
            self._clock.wait(HANG_S)
        if body.is_due("no_object"):
            self._clock.wait(OBJECT_S)
            raise CameraFault(detail="it refused without a reason")
        with body.exposures.shot():
            self._clock.wait(CAPTURE_S / 2)
            self._check()
            body.capture()
            self._clock.wait(CAPTURE_S / 2)
        told: list[str] = []

        def is_told() -> bool:
            if not told and (name := body.event()) is not None:
                told.append(name)
            return bool(told)

        if not self._clock.wait(OBJECT_S, is_told):
            raise CameraFault(detail="it refused without a reason")
        return SimpleNamespace(folder=FOLDER, name=told[0])

    def _wait_for_event(self, wait_ms: int) -> tuple[int, Any]:
        found = self._body.event()
        if found is None and wait_ms > 1:
            self._clock.wait(wait_ms / 1000)
            found = self._body.event()
        if found is None:
            return GPHOTO2.GP_EVENT_TIMEOUT, None
        return GPHOTO2.GP_EVENT_FILE_ADDED, SimpleNamespace(folder=FOLDER, name=found)

    def _file_get(self, _: str, name: str, __: int) -> bytes:
        if self._body.is_due("drop_download"):
            self._drop()
        if name not in self._body.files:
            raise CameraFault(detail="it has no such file")
        return self._body.files[name].content

    def _file_delete(self, _: str, name: str) -> None:
        if self._body.files.pop(name, None) is None:
            raise CameraFault(detail="it has no such file")

    def _folder_list_files(self, folder: str) -> Any:
        return dict.fromkeys(self._body.files if folder == FOLDER else (), None)

    def _folder_list_folders(self, folder: str) -> Any:
        return dict.fromkeys(["store"] if folder == "/" else ["100TESTB"] if folder == "/store" else [])

    def _get_storageinfo(self) -> list[Any]:
        return []
