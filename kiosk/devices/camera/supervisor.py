"""A camera in a process of its own, watched from outside.

Vendor libraries hang, hold the interpreter's lock and abort the process they live in. So the driver runs in a spawned
child (`camera_child`), live frames and stills come through mailboxes, and this side never waits: it polls, measures
how long the child has been silent, and kills it when a limit is passed. A second child waits with everything loaded,
and without the camera, to take its place at once.

States: starting -> ready <-> busy (a shot); any of them -> fault -> ready, when a child has the camera again; closed at
the ends.
"""

from __future__ import annotations

import contextlib
import math
from collections import deque

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
from kiosk.devices.camera.child_process import ChildProcess
from kiosk.devices.camera.driver import CameraDriver
from kiosk.devices.camera.fault_hints import camera_fault
from kiosk.devices.camera.mailbox import Mailbox
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
    StartCamera,
    StillReady,
    StopCamera,
    TakeStill,
    Unopened,
)
from kiosk.devices.camera.timeouts import Pace, Timeouts
from kiosk.errors import CameraFault, DeviceTimeout, KioskError
from kiosk.system.clock import Clock, SystemClock
from kiosk.system.memory import give_back

_LIVE_BYTES = 8 << 20
_STILL_BYTES = 96 << 20
_RESTART_DELAYS_S = (0.0, 0.5, 1.0, 2.0)
_HEALTHY_S = 10.0
_LONGEST_START = 8
_BURIAL_S = 5.0
_SPARE_AFTER_S = 1.0
_SPARE_AGAIN_S = 10.0
_FORGOTTEN_AFTER_S = 0.5
"""How long the last live picture is kept when nobody asks for one any more."""


class SupervisedCamera:
    """The `Camera` of every backend that has a `CameraDriver`.

    Every method but `close` returns at once; all but `newest` belong to one thread. A child whose camera is away looks
    for it twice a second. One that ends, or is ended, is replaced at first immediately, then ever later, up to every
    2 s, and immediately again only after one that has delivered for 10 s. A fault is reported once until it changes.
    A child that did not start in time is given longer at the next try, up to eight times the limit: on a machine busy
    with other things it would else be killed for ever just before it is there (measured, with twenty programs on two
    cores).

    The spare child is started when the camera has been ready for a second, so that it does not take the processor from
    the first; one that dies is replaced, but not oftener than every 10 s.

    Parameters
    ----------
    driver
        Not yet open; each child gets a fresh copy.
    limits
        When to give up on a child.
    clock
        Tells the watchdog the time.
    """

    def __init__(self, driver: CameraDriver, limits: Timeouts | None = None, clock: Clock | None = None) -> None:
        self._driver = driver
        self._limits = limits or Timeouts()
        self._clock = clock or SystemClock()
        self._state: DeviceState = "closed"
        self._events: list[CameraEvent] = []
        self._child: ChildProcess | None = None
        self._spare: ChildProcess | None = None
        self._dying: list[ChildProcess] = []
        self._live: Mailbox | None = None
        self._stills: Mailbox | None = None
        self._shots: deque[Ticket] = deque()
        self._forgetting = 0
        self._forgotten = 0
        self._seen_sequence = 0
        self._pace = Pace()
        self._sign_of_life_s = 0.0
        self._ready_s = math.inf
        self._restart_s = 0.0
        self._spare_due_s = -math.inf
        self._failures = 0
        self._slow_starts = 0
        self._reported = ""
        self._asked_s = -math.inf
        self._is_erased = True

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
        return self._child.pid if self._child else None

    @property
    def spare_pid(self) -> int | None:
        """The process id of the child that waits to take over, or None where there is none."""
        return self._spare.pid if self._spare else None

    def start(self) -> None:
        """Start the child; `DeviceReady` follows with the first live frame."""
        if self._state != "closed":
            return
        self._live = Mailbox.create(_LIVE_BYTES)
        self._stills = Mailbox.create(_STILL_BYTES)
        self._state = "starting"
        self._failures = self._slow_starts = 0
        self._ready_s, self._spare_due_s = math.inf, -math.inf
        self._begin(self._clock.now_s())

    def newest(self) -> LiveFrame | None:
        """Return the newest live frame, or None where none has come since the last start, fault or `forget`."""
        live = self._live
        self._asked_s = self._clock.now_s()
        frame = live.newest() if live and self._state in {"ready", "busy"} else None
        return frame if frame and not self._forgetting and frame.sequence > self._forgotten else None

    def shoot(self, ticket: Ticket) -> None:
        """Take a still, after those that were ordered before it."""
        if self._state not in {"ready", "busy"}:
            self._events.append(DeviceFailed(CameraFault(detail="it is not ready for a shot"), ticket))
        elif ticket not in self._shots:
            self._shots.append(ticket)
            if self._state == "ready":
                self._take_still(self._clock.now_s())

    def forget(self) -> None:
        """Forget every picture from before; live frames are handed out again when the child has forgotten them too."""
        self._forgetting += 1
        self._send(ForgetPictures())

    def ask(self, wish: str, argument: str) -> None:
        """Pass on a wish that only some drivers know (`CameraDriver.ask`); it is lost where no child runs."""
        self._send(Forward(wish, argument))

    def tell_settings(self) -> None:
        """Ask how the camera is set; `DeviceSettings` follows, unless no child runs."""
        self._send(ReadSettings())

    def poll(self) -> list[CameraEvent]:
        """Read what the child says, judge its silence, replace it when due; return the events, oldest first."""
        now_s = self._clock.now_s()
        self._listen(now_s)
        self._judge_silence(now_s)
        self._keep_a_spare(now_s)
        self._forget_pictures(now_s)
        if self._is_buried() and self._state == "fault" and self._child is None and now_s >= self._restart_s:
            self._begin(now_s)
        events, self._events = self._events, []
        return events

    def close(self) -> None:
        """Let the child leave the live view, for at most `Timeouts.close_s`, and end it and its spare."""
        self._state = "closed"
        if self._child:
            self._child.tell(StopCamera())
            self._child.wait(self._limits.close_s)
            self._end(self._child)
        if self._spare:
            self._end(self._spare)
        self._child = self._spare = None
        for child in self._dying:
            child.wait(_BURIAL_S)
        self._is_buried()
        for mailbox in (self._live, self._stills):
            if mailbox:
                mailbox.close()
        self._live = self._stills = None
        self._shots.clear()
        self._events.clear()

    def _begin(self, now_s: float) -> None:
        """Give the camera to the spare child, or to a new one; the last one left no picture that could be taken."""
        assert self._live is not None
        assert self._stills is not None
        self._stills.wipe()
        self._forgetting = 0
        self._forgotten = self._seen_sequence = self._live.sequence()
        self._sign_of_life_s = now_s
        try:
            self._child, self._spare = self._spare or self._started(), None
        except OSError as error:
            self._fail(camera_fault(error), now_s)
        else:
            self._child.tell(StartCamera())

    def _started(self) -> ChildProcess:
        assert self._live is not None
        assert self._stills is not None
        return ChildProcess(self._driver, self._live, self._stills)

    def _keep_a_spare(self, now_s: float) -> None:
        if self._spare and self._spare.is_gone:
            self._end(self._spare)
            self._spare = None
        is_wanted = self._state == "ready" and now_s - self._ready_s >= _SPARE_AFTER_S
        if is_wanted and self._spare is None and now_s >= self._spare_due_s:
            self._spare_due_s = now_s + _SPARE_AGAIN_S
            with contextlib.suppress(OSError):
                self._spare = self._started()

    def _forget_pictures(self, now_s: float) -> None:
        """Keep no picture that nobody asks for, and none of a child that is gone."""
        if self._live and now_s - self._asked_s > _FORGOTTEN_AFTER_S and self._live.forget():
            give_back()
        if self._live and self._stills and not self._is_erased and self._is_buried():
            self._live.erase()
            self._stills.wipe()
            self._is_erased = True
            give_back()

    def _send(self, order: CameraRequest) -> None:
        if self._child:
            self._child.tell(order)

    def _listen(self, now_s: float) -> None:
        try:
            for message in self._child.messages() if self._child else ():
                self._take(message, now_s)
        except (EOFError, OSError):
            self._fail(CameraFault(detail="its process ended without a word"), now_s)
        if self._child and self._live and self._live.sequence() > self._seen_sequence:
            self._seen_sequence = self._live.sequence()
            if self._state == "ready":
                self._sign_of_life_s = now_s
                self._pace.came(now_s, self._seen_sequence)

    def _take(self, message: Message, now_s: float) -> None:
        if isinstance(message, Lost):
            self._fail(message.error, now_s)
            return
        if isinstance(message, Noticed):
            self._events.append(DeviceNotice(message.text))
            return
        if isinstance(message, DeviceSettings):
            self._events.append(message)
            return
        if isinstance(message, Forgotten):
            self._forgetting -= 1
            self._forgotten = message.sequence
            return
        self._sign_of_life_s = now_s
        if isinstance(message, Unopened):
            self._state = "fault"
            self._report(message.error)
            return
        self._state = "ready"
        self._pace.begin(now_s, self._seen_sequence)
        if isinstance(message, Opened):
            self._ready_s = now_s
            self._slow_starts = 0
            self._reported = ""
            self._events.append(DeviceReady(message.model))
            return
        self._shots.popleft()
        if isinstance(message, ShotRefused):
            self._events.append(DeviceFailed(message.error, message.ticket))
        else:
            self._events.append(self._still(message))
        if self._shots:
            self._take_still(now_s)

    def _take_still(self, now_s: float) -> None:
        self._state = "busy"
        self._sign_of_life_s = now_s
        self._send(TakeStill(self._shots[0]))

    def _still(self, message: StillReady) -> StillTaken | DeviceFailed:
        """Take the ticket's picture out of the mailbox; one of another number is another shot's."""
        assert self._stills is not None
        still = self._stills.newest()
        self._stills.wipe()
        if still is None or still.sequence != message.sequence:
            return DeviceFailed(CameraFault(detail="the picture was lost"), message.ticket)
        return StillTaken(message.ticket, still.jpeg)

    def _judge_silence(self, now_s: float) -> None:
        if self._child is None:
            return
        operation, limit_s = {
            "ready": ("the next live frame", self._pace.patience_s(self._limits)),
            "busy": ("the shot", self._limits.shot_s),
        }.get(self._state, ("starting", self._limits.start_s))
        if self._state not in {"ready", "busy"}:
            limit_s *= min(1 + self._slow_starts, _LONGEST_START)
        if now_s - self._sign_of_life_s > limit_s:
            self._slow_starts += self._state not in {"ready", "busy"}
            self._fail(DeviceTimeout(device="The camera", operation=operation, limit_s=limit_s), now_s)

    def _fail(self, error: KioskError, now_s: float) -> None:
        if self._child:
            self._end(self._child)
            self._child = None
        self._state = "fault"
        self._is_erased = False
        if now_s - self._ready_s >= _HEALTHY_S:
            self._failures = 0
        self._ready_s = math.inf
        self._restart_s = now_s + _RESTART_DELAYS_S[min(self._failures, len(_RESTART_DELAYS_S) - 1)]
        self._failures += 1
        if self._shots:
            self._reported = str(error)
            self._events += [DeviceFailed(error, ticket) for ticket in self._shots]
            self._shots.clear()
        else:
            self._report(error)

    def _report(self, error: KioskError) -> None:
        if str(error) != self._reported:
            self._reported = str(error)
            self._events.append(DeviceFailed(error))

    def _end(self, child: ChildProcess) -> None:
        child.kill()
        self._dying.append(child)

    def _is_buried(self) -> bool:
        """Whether every ended child is gone; one that hangs inside the kernel is not, and its camera is not free."""
        self._dying = [child for child in self._dying if not child.is_gone]
        return not self._dying
