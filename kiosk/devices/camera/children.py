"""The processes of one camera: the one that has it, a spare one to take its place, and those that are ending."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator

from kiosk.devices.camera.child_process import ChildProcess
from kiosk.devices.camera.driver import CameraDriver
from kiosk.devices.camera.mailbox import Mailbox
from kiosk.devices.camera.messages import CameraRequest, Message, StartCamera, StopCamera

BURIAL_S = 5.0
"""How long `close` waits for killed processes, in seconds; one that hangs inside the kernel may outlast it."""

SPARE_AGAIN_S = 10.0
"""The shortest time between two spare children, in seconds, so that one which always dies costs little."""


class Children:
    """At most one child has the camera, and at most one spare child waits with everything loaded.

    Parameters
    ----------
    driver
        Not yet open; each child gets a fresh copy.
    live, stills
        Where the child that has the camera puts its pictures.
    """

    def __init__(self, driver: CameraDriver, live: Mailbox, stills: Mailbox) -> None:
        self._driver = driver
        self._mailboxes = live, stills
        self._active: ChildProcess | None = None
        self._spare: ChildProcess | None = None
        self._ending: list[ChildProcess] = []
        self._spare_due_s = -math.inf

    @property
    def pid(self) -> int | None:
        """The process id of the child that has the camera, None where none has it."""
        return self._active.pid if self._active else None

    @property
    def spare_pid(self) -> int | None:
        """The process id of the spare child, None where there is none."""
        return self._spare.pid if self._spare else None

    @property
    def are_buried(self) -> bool:
        """Whether every ended child is gone; one that hangs inside the kernel is not, and its camera is not free."""
        self._ending = [child for child in self._ending if not child.is_gone]
        return not self._ending

    def begin(self) -> None:
        """Give the camera to the spare child or, where there is none, to a new one.

        Raises
        ------
        OSError
            The machine has no room for another process.
        """
        child, self._spare = self._spare or self._started(), None
        child.send(StartCamera())
        self._active = child

    def send(self, order: CameraRequest) -> None:
        """Send an order to the child that has the camera; it is lost where there is none."""
        if self._active:
            self._active.send(order)

    def messages(self) -> Iterator[Message]:
        """Yield what the child that has the camera has sent, oldest first; errors as of `ChildProcess.messages`."""
        if self._active:
            yield from self._active.messages()

    def end(self) -> None:
        """Kill the child that has the camera."""
        if self._active:
            self._bury(self._active)
            self._active = None

    def keep_spare(self, now_s: float, *, is_wanted: bool) -> None:
        """Remove a spare child that has died and, where one is wanted and due, start another."""
        if self._spare and self._spare.is_gone:
            self._bury(self._spare)
            self._spare = None
        if is_wanted and self._spare is None and now_s >= self._spare_due_s:
            self._spare_due_s = now_s + SPARE_AGAIN_S
            with contextlib.suppress(OSError):
                self._spare = self._started()

    def close(self, limit_s: float) -> None:
        """Give the child `limit_s` to leave the live view, then end it and its spare."""
        if self._active:
            self._active.send(StopCamera())
            self._active.wait(limit_s)
            self.end()
        if self._spare:
            self._bury(self._spare)
            self._spare = None
        for child in self._ending:
            child.wait(BURIAL_S)

    def _started(self) -> ChildProcess:
        return ChildProcess(self._driver, *self._mailboxes)

    def _bury(self, child: ChildProcess) -> None:
        child.kill()
        self._ending.append(child)
