"""A camera in a process of its own, watched from outside.

Vendor libraries hang, hold the interpreter's lock and abort the process they live in. So the driver runs in a spawned
child (`child_main`), live frames and stills come through mailboxes, and this side never waits: it polls, measures how
long the child has been silent, and kills it when a limit is passed. A spare child, loaded, can take its place at once.

States: starting -> ready <-> busy (a shot); any -> fault -> ready, when a child has the camera again; closed last.
"""

from __future__ import annotations

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import (
    CameraEvent,
    DeviceFailed,
    DeviceNotice,
    DeviceReady,
    DeviceSettings,
    DeviceState,
    LiveFrame,
    StillTaken,
)
from kiosk.devices.camera.children import Children
from kiosk.devices.camera.driver import LOST_SHOT, CameraDriver
from kiosk.devices.camera.fault_hints import camera_fault
from kiosk.devices.camera.messages import (
    CameraRequest,
    ForgetPictures,
    Forgotten,
    Forward,
    Lost,
    Message,
    Noticed,
    Opened,
    ReadSettings,
    ShotRefused,
    StillReady,
    TakeStill,
    Unopened,
)
from kiosk.devices.camera.pictures import Pictures
from kiosk.devices.camera.restarts import Restarts
from kiosk.devices.camera.shots import Shots
from kiosk.devices.camera.timeouts import Silence, Timeouts
from kiosk.errors import CameraFault, DeviceTimeout, KioskError
from kiosk.system.clock import Clock, SystemClock


class SupervisedCamera:
    """The `Camera` of every backend that has a `CameraDriver`.

    Every method but `close` returns at once; all but `newest` belong to one thread. A child whose camera is away looks
    for it twice a second. One that ends, or is ended, is replaced (`Restarts`), by the spare child where there is one.
    A fault is reported once until it changes.

    Parameters
    ----------
    driver
        Not yet open; each child gets a fresh copy.
    limits
        When to give up on a child.
    clock
        The watchdog's clock.
    """

    def __init__(self, driver: CameraDriver, limits: Timeouts | None = None, clock: Clock | None = None) -> None:
        self._driver = driver
        self._limits = limits or Timeouts()
        self._clock = clock or SystemClock()
        self._state: DeviceState = "closed"
        self._events: list[CameraEvent] = []
        self._pictures: Pictures | None = None
        self._children: Children | None = None
        self._restarts = Restarts()
        self._shots = Shots()
        self._seen_sequence = 0
        self._silence = Silence(self._limits)
        self._reported = ""

    @property
    def state(self) -> DeviceState:
        """The state as last known."""
        return self._state

    @property
    def simulated(self) -> bool:
        """Whether its pictures are made up."""
        return self._driver.simulated

    @property
    def pid(self) -> int | None:
        """The child's process id, or None where there is none."""
        return self._children.pid if self._children else None

    @property
    def spare_pid(self) -> int | None:
        """The process id of the child that waits to take over, or None where there is none."""
        return self._children.spare_pid if self._children else None

    def start(self) -> None:
        """Start the child; `DeviceReady` follows with the first live frame."""
        if self._state != "closed":
            return
        self._state = "starting"
        self._restarts, self._shots = Restarts(), Shots()
        self._pictures = pictures = Pictures()
        self._children = children = Children(self._driver, pictures.live, pictures.stills)
        self._begin(children, pictures, self._clock.now_s())

    def newest(self) -> LiveFrame | None:
        """Return the newest live frame, or None where none has come since the last start, fault or `forget`."""
        pictures = self._pictures
        return pictures.newest(self._clock.now_s()) if pictures and self._state in {"ready", "busy"} else None

    def shoot(self, ticket: Ticket) -> None:
        """Take a still, after those that were ordered before it."""
        if self._state not in {"ready", "busy"}:
            self._events.append(DeviceFailed(CameraFault(detail="it is not ready for a shot"), ticket))
        elif self._shots.order(ticket) and self._state == "ready":
            self._take_still(ticket, self._clock.now_s())

    def forget(self) -> None:
        """Forget every picture from before; live frames are handed out again when the child has forgotten them too."""
        if self._pictures:
            self._pictures.forget()
        self._send(ForgetPictures())

    def ask(self, wish: str, argument: str) -> None:
        """Pass on a wish that only some drivers know (`CameraDriver.ask`); it is lost where no child runs."""
        self._send(Forward(wish, argument))

    def request_settings(self) -> None:
        """Ask how the camera is set; `DeviceSettings` follows, unless no child runs."""
        self._send(ReadSettings())

    def poll(self) -> list[CameraEvent]:
        """Read what the child says, judge its silence, replace it when due; return the events, oldest first."""
        now_s = self._clock.now_s()
        if self._pictures and self._children:
            self._listen(self._children, self._pictures, now_s)
            late = self._silence.judged(self._state, now_s, self._restarts.start_limit_s(self._limits.start_s))
            if late is not None and self.pid is not None:
                self._fail(late, now_s)
            self._children.keep_spare(now_s, is_wanted=self._state == "ready" and self._restarts.is_settled(now_s))
            self._pictures.clear_up(now_s, is_writer_gone=self._children.are_buried)
            if self.pid is None and self._children.are_buried and self._restarts.is_due(now_s):
                self._begin(self._children, self._pictures, now_s)
        events, self._events = self._events, []
        return events

    def close(self) -> None:
        """Let the child leave the live view, for at most `Timeouts.close_s`, and end it and its spare."""
        self._state = "closed"
        if self._children and self._pictures:
            self._children.close(self._limits.close_s)
            self._pictures.close()
        self._children = self._pictures = None
        self._events.clear()

    def _begin(self, children: Children, pictures: Pictures, now_s: float) -> None:
        """Give the camera to a child; the last one left no picture that could be taken."""
        pictures.begin()
        self._seen_sequence = pictures.live.sequence()
        self._silence.broken(now_s)
        try:
            children.begin()
        except OSError as error:
            self._fail(camera_fault(error), now_s)

    def _send(self, order: CameraRequest) -> None:
        if self._children:
            self._children.send(order)

    def _listen(self, children: Children, pictures: Pictures, now_s: float) -> None:
        try:
            for message in children.messages():
                self._take(message, pictures, now_s)
        except (EOFError, OSError):
            self._fail(CameraFault(detail="its process ended without a word"), now_s)
        if children.pid is not None and pictures.live.sequence() > self._seen_sequence:
            self._seen_sequence = pictures.live.sequence()
            self._shots.frame_came(self._seen_sequence)
            if self._state == "ready":
                self._silence.frame_came(now_s, self._seen_sequence)

    def _take(self, message: Message, pictures: Pictures, now_s: float) -> None:
        match message:
            case Lost(error):
                self._fail(error, now_s)
            case Noticed(text):
                self._events.append(DeviceNotice(text))
            case DeviceSettings():
                self._events.append(message)
            case Forgotten(sequence):
                pictures.forgotten(sequence)
            case Unopened(error):
                self._silence.broken(now_s)
                self._state = "fault"
                self._report(error)
            case Opened(model):
                self._go_on(now_s)
                self._restarts.opened(now_s)
                lost_for_s = self._shots.lost_for_s(now_s)
                if lost_for_s is not None:
                    self.ask(LOST_SHOT, f"{lost_for_s:.0f}")
                self._reported = ""
                self._events.append(DeviceReady(model))
            case StillReady(ticket, sequence):
                still = pictures.take_still(sequence)
                lost = DeviceFailed(CameraFault(detail="the picture was lost"), ticket)
                self._end_shot(lost if still is None else StillTaken(ticket, still), pictures, now_s)
            case ShotRefused(ticket, error):
                self._end_shot(DeviceFailed(error, ticket), pictures, now_s)

    def _go_on(self, now_s: float) -> None:
        self._state = "ready"
        self._silence.live_view_began(now_s, self._seen_sequence)

    def _end_shot(self, event: CameraEvent, pictures: Pictures, now_s: float) -> None:
        self._shots.ended(pictures.live.sequence(), has_still=isinstance(event, StillTaken))
        self._go_on(now_s)
        self._events.append(event)
        if self._shots.first is not None:
            self._take_still(self._shots.first, now_s)

    def _take_still(self, ticket: Ticket, now_s: float) -> None:
        self._state = "busy"
        self._silence.broken(now_s)
        self._send(TakeStill(ticket))

    def _fail(self, error: KioskError, now_s: float) -> None:
        """End the child that has the camera, and the shots with it."""
        assert self._children is not None
        assert self._pictures is not None
        self._restarts.failed(now_s, is_late=isinstance(error, DeviceTimeout))
        self._children.end()
        self._pictures.lost()
        self._state = "fault"
        lost = self._shots.lost(now_s)
        if lost:
            self._reported = str(error)
            self._events += [DeviceFailed(error, ticket) for ticket in lost]
        else:
            self._report(error)

    def _report(self, error: KioskError) -> None:
        if str(error) != self._reported:
            self._reported = str(error)
            self._events.append(DeviceFailed(error))
