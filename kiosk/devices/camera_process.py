"""A camera in a process of its own, watched from outside.

Vendor libraries hang, hold the interpreter's lock and abort the process they live in. So the driver runs in a spawned
child (`camera_child`), live frames and stills come through mailboxes, and this side never waits: it polls, measures
how long the child has been silent, and kills and starts it anew when a limit is passed.

States: starting -> ready <-> busy (a shot); any of them -> fault -> ready, when the child is back; closed at the ends.
"""

from __future__ import annotations

import contextlib
import math
import multiprocessing
from dataclasses import dataclass
from multiprocessing.context import SpawnProcess

from kiosk.clock import Clock, SystemClock
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
from kiosk.devices.camera_child import (
    Ask,
    Leave,
    Lost,
    Message,
    Noticed,
    Opened,
    Order,
    Pipe,
    Shoot,
    ShotRefused,
    Tell,
    serve,
)
from kiosk.devices.driver import Driver
from kiosk.devices.hints import camera_fault
from kiosk.devices.mailbox import Mailbox
from kiosk.errors import CameraFault, DeviceTimeout, KioskError

_LIVE_BYTES = 8 << 20
_STILL_BYTES = 96 << 20
_RESTART_DELAYS_S = (0.0, 0.5, 1.0, 2.0)
_HEALTHY_S = 10.0
_LONGEST_START = 8


@dataclass(frozen=True, slots=True)
class Limits:
    """How long the child may be silent, in seconds.

    Chosen to stand clear of what was measured on two cores: the simulated camera's first frame comes 0.4 s after its
    process was started; with libgphoto2 2.5.34 a busy preview takes 0.2 s and a stalled one 2.5 s, a 7 MB still arrives
    within 1 s, and a capture that never completes returns after 20 s at the earliest.

    Attributes
    ----------
    start_s
        From the start of the process to the first live frame.
    frame_age_s
        Age of the newest live frame.
    shot_s
        From the order to the still.
    close_s
        For leaving the live view at the end.
    """

    start_s: float = 15.0
    frame_age_s: float = 2.0
    shot_s: float = 12.0
    close_s: float = 2.0


@dataclass(slots=True)
class _Child:
    process: SpawnProcess
    pipe: Pipe


class CameraProcess:
    """The `Camera` of every backend that has a `Driver`.

    Every method but `close` returns at once; all but `newest` belong to one thread. While the camera is away the
    child is started again, at first immediately, then ever later, up to every 2 s; a fault is reported once until it
    changes. A child that did not start in time is given longer at the next try, up to eight times the limit: on a
    machine busy with other things it would else be killed for ever just before it is there (measured, with twenty
    programs on two cores). Only a child that has delivered for 10 s counts as a recovery and is replaced immediately
    again.

    Parameters
    ----------
    driver
        Not yet open; each child gets a fresh copy.
    limits
        When to give up on a child.
    clock
        Tells the watchdog the time.
    """

    def __init__(self, driver: Driver, limits: Limits | None = None, clock: Clock | None = None) -> None:
        self._driver = driver
        self._limits = limits or Limits()
        self._clock = clock or SystemClock()
        self._state: DeviceState = "closed"
        self._events: list[CameraEvent] = []
        self._child: _Child | None = None
        self._dying: SpawnProcess | None = None
        self._live: Mailbox | None = None
        self._stills: Mailbox | None = None
        self._seen_sequence = 0
        self._sign_of_life_s = 0.0
        self._ready_s = math.inf
        self._restart_s = 0.0
        self._failures = 0
        self._slow_starts = 0
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
        return self._child.process.pid if self._child else None

    def start(self) -> None:
        """Start the child; `DeviceReady` follows with the first live frame."""
        if self._state != "closed":
            return
        self._live = Mailbox.create(_LIVE_BYTES)
        self._stills = Mailbox.create(_STILL_BYTES)
        self._state = "starting"
        self._spawn(self._clock.now_s())

    def newest(self) -> LiveFrame | None:
        """Return the newest live frame, or None where none has come since the last start or fault."""
        live = self._live
        return live.newest() if live and self._state in {"ready", "busy"} else None

    def shoot(self) -> None:
        """Take a still; while one is being taken, nothing more happens."""
        if self._state == "busy":
            return
        if self._state != "ready":
            self._events.append(DeviceFailed(CameraFault(detail="it is not ready for a shot")))
            return
        self._state = "busy"
        self._sign_of_life_s = self._clock.now_s()
        self._send(Shoot())

    def ask(self, wish: str, argument: str) -> None:
        """Pass on a wish that only some drivers know (`Driver.ask`); it is lost where no child runs."""
        self._send(Ask(wish, argument))

    def tell_settings(self) -> None:
        """Ask how the camera is set; `DeviceSettings` follows, unless no child runs."""
        self._send(Tell())

    def poll(self) -> list[CameraEvent]:
        """Read what the child says, judge its silence, restart it when due; return the events, oldest first."""
        now_s = self._clock.now_s()
        self._listen(now_s)
        self._judge_silence(now_s)
        if self._state == "fault" and self._child is None and now_s >= self._restart_s and self._is_buried():
            self._spawn(now_s)
        events, self._events = self._events, []
        return events

    def close(self) -> None:
        """Let the child leave the live view, for at most `Limits.close_s`, and end it."""
        self._state = "closed"
        if self._child:
            self._send(Leave())
            self._child.process.join(self._limits.close_s)
            self._kill()
        if self._dying:
            self._dying.join(self._limits.close_s)
            self._is_buried()
        for mailbox in (self._live, self._stills):
            if mailbox:
                mailbox.close()
        self._live = self._stills = None
        self._events.clear()

    def _spawn(self, now_s: float) -> None:
        assert self._live is not None
        self._seen_sequence = self._live.sequence()
        self._sign_of_life_s = now_s
        context = multiprocessing.get_context("spawn")
        try:
            ours, theirs = context.Pipe()
            with theirs:
                arguments = (self._driver, theirs, self._live, self._stills)
                process = context.Process(target=serve, args=arguments, name="camera", daemon=True)
                self._child = _Child(process, ours)
                process.start()
        except OSError as error:
            self._fail(camera_fault(error), now_s)

    def _send(self, order: Order) -> None:
        if self._child:
            with contextlib.suppress(OSError):
                self._child.pipe.send(order)

    def _listen(self, now_s: float) -> None:
        while self._child and self._child.pipe.poll():
            try:
                self._take(self._child.pipe.recv(), now_s)
            except (EOFError, OSError):
                self._fail(CameraFault(detail="its process ended without a word"), now_s)
        if self._child and self._live and self._live.sequence() > self._seen_sequence:
            self._seen_sequence = self._live.sequence()
            if self._state == "ready":
                self._sign_of_life_s = now_s

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
        self._state = "ready"
        self._sign_of_life_s = now_s
        if isinstance(message, Opened):
            self._ready_s = now_s
            self._slow_starts = 0
            self._reported = ""
            self._events.append(DeviceReady(message.model))
        elif isinstance(message, ShotRefused):
            self._events.append(DeviceFailed(message.error))
        else:
            assert self._stills is not None
            still = self._stills.newest()
            self._stills.wipe()
            self._events.append(
                StillTaken(still.jpeg) if still else DeviceFailed(CameraFault(detail="the picture was lost"))
            )

    def _judge_silence(self, now_s: float) -> None:
        if self._child is None:
            return
        operation, limit_s = {
            "ready": ("the next live frame", self._limits.frame_age_s),
            "busy": ("the shot", self._limits.shot_s),
        }.get(self._state, ("starting", self._limits.start_s))
        if self._state not in {"ready", "busy"}:
            limit_s *= min(1 + self._slow_starts, _LONGEST_START)
        if now_s - self._sign_of_life_s > limit_s:
            self._slow_starts += self._state not in {"ready", "busy"}
            self._fail(DeviceTimeout(device="The camera", operation=operation, limit_s=limit_s), now_s)

    def _fail(self, error: KioskError, now_s: float) -> None:
        self._kill()
        self._state = "fault"
        if now_s - self._ready_s >= _HEALTHY_S:
            self._failures = 0
        self._ready_s = math.inf
        self._restart_s = now_s + _RESTART_DELAYS_S[min(self._failures, len(_RESTART_DELAYS_S) - 1)]
        self._failures += 1
        if str(error) != self._reported:
            self._reported = str(error)
            self._events.append(DeviceFailed(error))

    def _kill(self) -> None:
        if self._child:
            self._child.pipe.close()
            if self._child.process.pid is not None:
                self._child.process.kill()
                self._dying = self._child.process
            self._child = None

    def _is_buried(self) -> bool:
        """Whether the last child is gone; one that hangs inside the kernel dies later, and its camera is not free."""
        if self._dying and not self._dying.is_alive():
            self._dying.close()
            self._dying = None
        return self._dying is None
