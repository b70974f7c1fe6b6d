"""The simulated camera in the caller's own thread, for sessions that run on a manual clock.

With the camera in another process, its frames come when the machine gets round to them, and no run is like the other.
Here each look at the newest frame makes it, so a whole session runs the same way every time, and faster than life.
Only a simulated driver may be driven so: a real one would hold up the frame loop, and nothing could end a call that
hangs.
"""

from __future__ import annotations

from collections import deque

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import CameraEvent, DeviceFailed, DeviceReady, DeviceState, LiveFrame, StillTaken
from kiosk.devices.camera.driver import looks_whole, verified_still
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.sim.camera import SimulatedDriver, SimulatedFault
from kiosk.errors import CameraFault, DeviceTimeout, KioskError
from kiosk.system.clock import Clock

_RETURN_S = 0.5


class InlineCamera:
    """A `Camera`, and the sitter's ear, without a process: `newest` draws, `poll` completes a shot.

    Parameters
    ----------
    driver
        Must share `clock`.
    clock
        Also tells how long a call took, so that a frozen one is reported as the watchdog would.
    limits
        As of the camera process.
    """

    simulated = True

    def __init__(self, driver: SimulatedDriver, clock: Clock, limits: Timeouts | None = None) -> None:
        self._driver = driver
        self._clock = clock
        self._limits = limits or Timeouts()
        self._state: DeviceState = "closed"
        self._events: list[CameraEvent] = []
        self._frame: LiveFrame | None = None
        self._sequence = 0
        self._shots: deque[Ticket] = deque()
        self._heard = ""
        self._returns_s = 0.0

    @property
    def state(self) -> DeviceState:
        """The state as last known."""
        return self._state

    def start(self) -> None:
        """Connect at the next `poll`."""
        if self._state == "closed":
            self._state = "starting"
            self._returns_s = self._clock.now_s()

    def newest(self) -> LiveFrame | None:
        """Draw a frame where one is due, and return the newest."""
        now_s = self._clock.now_s()
        if self._state != "ready" or (self._frame and now_s < self._frame.taken_s + self._driver.frame_interval_s):
            return self._frame
        try:
            jpeg = self._driver.next_frame()
            self._judge("the next live frame", now_s, self._limits.frame_age_s)
        except KioskError as error:
            self._lose(error)
            return None
        if looks_whole(jpeg):
            self._sequence += 1
            self._frame = LiveFrame(self._sequence, now_s, jpeg)
        return self._frame

    def shoot(self, ticket: Ticket) -> None:
        """Take a still at the next `poll`."""
        if self._state not in {"ready", "busy"}:
            self._events.append(DeviceFailed(CameraFault(detail="it is not ready for a shot"), ticket))
        elif ticket not in self._shots:
            self._state = "busy"
            self._shots.append(ticket)

    def forget(self) -> None:
        """Forget at once."""
        self._frame = None
        self._driver.forget()

    def request_settings(self) -> None:
        """Tell that it has none."""
        self._events.append(self._driver.settings())

    def poll(self) -> list[CameraEvent]:
        """Connect, or complete a shot, where one is waited for; return the events, oldest first."""
        try:
            if self._state in {"starting", "fault"} and self._clock.now_s() >= self._returns_s:
                model = self._driver.open()
                self._driver.ask("hear", self._heard)
                self._state = "ready"
                self._events.append(DeviceReady(model))
            elif self._state == "busy":
                self._take_still()
        except KioskError as error:
            self._lose(error)
        events, self._events = self._events, []
        return events

    def close(self) -> None:
        """Disconnect."""
        self._state = "closed"
        self._frame = None
        self._shots.clear()
        self._events.clear()
        self._driver.close()

    def hear(self, instruction: str) -> None:
        """Tell the sitter what the screen now says."""
        self._heard = instruction
        if self._state in {"ready", "busy"}:
            self._driver.ask("hear", instruction)

    def fail_next(self, fault: SimulatedFault) -> None:
        """Let something go wrong at its next turn."""
        self._driver.ask("fail_next", fault)

    def _take_still(self) -> None:
        began_s = self._clock.now_s()
        try:
            jpeg = verified_still(self._driver.shoot())
        except KioskError as error:
            self._events.append(DeviceFailed(error, self._shots.popleft()))
        else:
            self._judge("the shot", began_s, self._limits.shot_s)
            self._events.append(StillTaken(self._shots.popleft(), jpeg))
        self._state = "busy" if self._shots else "ready"

    def _judge(self, operation: str, began_s: float, limit_s: float) -> None:
        if self._clock.now_s() - began_s > limit_s:
            raise DeviceTimeout(device="The camera", operation=operation, limit_s=limit_s)

    def _lose(self, error: KioskError) -> None:
        self._driver.close()
        self._state = "fault"
        self._returns_s = self._clock.now_s() + _RETURN_S
        self._frame = None
        self._events += [DeviceFailed(error, ticket) for ticket in self._shots or (None,)]
        self._shots.clear()
