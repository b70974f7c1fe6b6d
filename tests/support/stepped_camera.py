"""A tethered camera on a manual clock: the booth's own driver, child program and supervisor, and a made-up body.

The children follow the clock instead of being processes, and instead of libgphoto2 there is a body (`stepped_body.py`).
What a real library and a real cable do is proven with `tests/ptpip`; here thousands of sessions meet the same faults in
a few minutes.
"""

from __future__ import annotations

import contextlib
import itertools
import math
import pickle
from collections import deque
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any
from unittest import mock

from kiosk.devices.camera import child_main, children
from kiosk.devices.camera.driver import CameraDriver
from kiosk.devices.camera.mailbox import Mailbox
from kiosk.devices.camera.messages import CameraRequest, Message
from kiosk.devices.gphoto2 import camera as tethered
from kiosk.devices.gphoto2 import camera_files, picture_times, shoot
from tests.support.stepped_body import BodyConnection
from tests.support.stepped_clock import SteppedClock


class _Pipe:
    """A pipe between the loop and a child."""

    def __init__(self, clock: SteppedClock) -> None:
        self._clock = clock
        self.came: deque[Any] = deque()
        self.sent: list[Message] = []
        self.is_closed = False

    def poll(self, timeout_s: float = 0.0) -> bool:
        self._clock.wait(timeout_s, lambda: self.came or self.is_closed)
        return bool(self.came) or self.is_closed

    def recv(self) -> Any:
        self._clock.wait(math.inf, lambda: self.came or self.is_closed)
        if not self.came:
            raise EOFError
        return self.came.popleft()

    def send(self, message: Message) -> None:
        self._clock.check()
        self.sent.append(message)


class SteppedChild:
    """A camera's child that follows the clock, as `ChildProcess` is one in a process."""

    clock: SteppedClock
    born: list[SteppedChild]
    _pids = itertools.count(1)

    def __init__(self, driver: CameraDriver, live: Mailbox, stills: Mailbox) -> None:
        self.pid = next(self._pids)
        self._pipe = _Pipe(self.clock)
        self._pipe.came.append(pickle.loads(pickle.dumps(driver)))  # as a process gets a copy
        self._work = self.clock.thread(lambda: self._serve(live, stills))
        self.born.append(self)
        self._work.start()

    @property
    def is_gone(self) -> bool:
        """Whether it has ended."""
        return not self._work.is_alive()

    def send(self, what: CameraRequest) -> None:
        """Send an order."""
        self._pipe.came.append(what)

    def messages(self) -> Iterator[Message]:
        """Yield its messages; `EOFError` where it has ended and has nothing more to say."""
        while self._pipe.sent:
            yield self._pipe.sent.pop(0)
        if self.is_gone and not self._pipe.is_closed:
            raise EOFError

    def kill(self) -> None:
        """End it where it is."""
        self._pipe.is_closed = True
        self.die()

    def die(self) -> None:
        """End, as a process does that crashes."""
        self._work.kill()

    def wait(self, limit_s: float) -> None:
        """Wait for its end."""
        self._work.join(limit_s)

    def _serve(self, live: Mailbox, stills: Mailbox) -> None:
        with contextlib.suppress(EOFError):
            child_main._serve(self._pipe, live, stills)


@contextlib.contextmanager
def stepped_cameras(clock: SteppedClock) -> Iterator[list[SteppedChild]]:
    """Let every tethered camera be one on the clock, and return the children as they are born."""
    time = SimpleNamespace(monotonic=clock.now_s)
    SteppedChild.clock, SteppedChild.born = clock, []
    with contextlib.ExitStack() as patched:
        for owner, name, stand_in in (
            (children, "ChildProcess", SteppedChild),
            (child_main, "SystemClock", lambda: clock),
            (tethered, "Connection", BodyConnection),
            (tethered, "library", lambda: SimpleNamespace(version="0")),
            *((module, "time", time) for module in (tethered, camera_files, picture_times, shoot)),
        ):
            patched.enter_context(mock.patch.object(owner, name, stand_in))
        yield SteppedChild.born
