"""A camera whose light the program works: no picture is taken before the lamps are warm and the flash is charged."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import Camera, CameraEvent, DeviceFailed, DeviceState, LiveFrame, StillTaken
from kiosk.devices.light.switches import Switches
from kiosk.errors import CameraFault, LineFault
from kiosk.system.clock import Clock


@dataclass(frozen=True, slots=True)
class Light:
    """What a picture waits for.

    Attributes
    ----------
    warm_up_s
        After how many seconds the lamps' light is steady.
    off_after_s
        How many seconds the lamps stay on when nobody needs them any more.
    recycle_s
        The least number of seconds between two flashes; 0 without a flash.
    """

    warm_up_s: float = 0.0
    off_after_s: float = 0.0
    recycle_s: float = 0.0


class LitCamera:
    """A camera with its light; it keeps the contract of `Camera`.

    With a flash, one picture is taken after the other, and the time between two flashes is counted from the arrival of
    the first picture. So not even a camera that fires its flash itself and is slow to focus comes nearer to the three
    flashes a second of WCAG 2.2, 2.3.1.

    Parameters
    ----------
    camera
        The camera itself.
    switches
        Of its lamps and its flash.
    light
        What its pictures wait for.
    clock
        The booth's clock.
    """

    def __init__(self, camera: Camera, switches: Switches, light: Light, clock: Clock) -> None:
        self._camera = camera
        self._switches = switches
        self._light = light
        self._clock = clock
        self._waiting: deque[Ticket] = deque()
        self._flashing: Ticket | None = None
        self._charged_s = float("-inf")
        self._lit_s: float | None = None
        self._needed_s = float("-inf")
        self._events: list[CameraEvent] = []

    @property
    def state(self) -> DeviceState:
        """The camera's state as last known; it is busy while a picture waits for the light."""
        state = self._camera.state
        return "busy" if state == "ready" and self._waiting else state

    @property
    def simulated(self) -> bool:
        """Whether its pictures are made up."""
        return self._camera.simulated

    @property
    def fault(self) -> LineFault | None:
        """What is wrong with the lines of the light; None while they obey."""
        return self._switches.fault

    @property
    def warm_up_s(self) -> float:
        """After how many seconds the lamps' light is steady."""
        return self._light.warm_up_s

    def start(self) -> None:
        """Connect, with the lamps off."""
        self._switches.start()
        self._camera.start()

    def need_light(self) -> None:
        """Have the lamps on from now on, for as long as this is called again and again."""
        self._needed_s = self._clock.now_s()
        if self._lit_s is None:
            self._lit_s = self._needed_s
            self._switches.light(True)

    def newest(self) -> LiveFrame | None:
        """Return the newest live frame."""
        return self._camera.newest()

    def shoot(self, ticket: Ticket) -> None:
        """Take a still as soon as the light is ready; the lamps are switched on for it.

        A camera that is not ready refuses at once.
        """
        if self._camera.state not in {"ready", "busy"}:
            self._camera.shoot(ticket)
        elif ticket not in self._waiting and ticket != self._flashing:
            self._waiting.append(ticket)
            self.need_light()
            self._release()

    def forget(self) -> None:
        """Forget every picture until now, and those that still wait for the light."""
        given_up = CameraFault(detail="the picture was given up before the light was ready")
        self._events += [DeviceFailed(given_up, ticket) for ticket in self._waiting]
        self._waiting.clear()
        self._camera.forget()

    def request_settings(self) -> None:
        """Ask how the camera is set."""
        self._camera.request_settings()

    def poll(self) -> list[CameraEvent]:
        """Return what has happened, and take the next still if the light is ready for it."""
        arrived, self._events = [*self._events, *self._camera.poll()], []
        ended = [event.ticket for event in arrived if isinstance(event, StillTaken | DeviceFailed)]
        if self._flashing is not None and self._flashing in ended:
            self._flashing = None
            self._charged_s = self._clock.now_s() + self._light.recycle_s
        if self._waiting or self._flashing:
            self.need_light()
        self._release()
        if self._lit_s is not None and self._clock.now_s() - self._needed_s > self._light.off_after_s:
            self._lit_s = None
            self._switches.light(False)
        return arrived

    def close(self) -> None:
        """Switch the light off, and disconnect."""
        self._switches.close()
        self._camera.close()

    def _release(self) -> None:
        """Take what waits, as far as the light is ready for it; in a fault of the light nothing is taken."""
        fault = self.fault
        if fault is not None:
            self._events += [DeviceFailed(fault, ticket) for ticket in self._waiting]
            self._waiting.clear()
        while self._waiting and self._is_ready():
            ticket = self._waiting.popleft()
            if self._light.recycle_s:
                self._flashing = ticket
                self._switches.fire()
            self._camera.shoot(ticket)

    def _is_ready(self) -> bool:
        now_s = self._clock.now_s()
        is_warm = self._lit_s is not None and now_s - self._lit_s >= self._light.warm_up_s
        return is_warm and self._flashing is None and now_s >= self._charged_s
