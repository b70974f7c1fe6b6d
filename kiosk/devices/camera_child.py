"""What runs in the camera's own process: one loop that owns the driver.

It takes orders from a pipe, puts live frames and stills into mailboxes, and answers with messages so short that the
parent never waits for the rest of one. It ends when told to, when the connection to the camera is lost, or when its
parent is gone, even in the middle of a hung call.
"""

from __future__ import annotations

import contextlib
import os
import signal
import threading
from dataclasses import dataclass
from multiprocessing import connection, parent_process

from kiosk.clock import SystemClock
from kiosk.devices.base import DeviceSettings
from kiosk.devices.driver import Driver, looks_whole, verified_still
from kiosk.devices.hints import camera_fault
from kiosk.devices.mailbox import Mailbox
from kiosk.errors import CameraFault, KioskError

Pipe = connection.Connection


@dataclass(frozen=True, slots=True)
class Shoot:
    """Order: take a still."""


@dataclass(frozen=True, slots=True)
class Ask:
    """Order: pass a wish on to the driver."""

    wish: str
    argument: str


@dataclass(frozen=True, slots=True)
class Tell:
    """Order: tell how the camera is set."""


@dataclass(frozen=True, slots=True)
class Leave:
    """Order: disconnect and end."""


Order = Shoot | Ask | Tell | Leave


@dataclass(frozen=True, slots=True)
class Opened:
    """Message: the first live frame has come."""

    model: str


@dataclass(frozen=True, slots=True)
class StillReady:
    """Message: a verified still lies in its mailbox."""


@dataclass(frozen=True, slots=True)
class ShotRefused:
    """Message: there is no still."""

    error: KioskError


@dataclass(frozen=True, slots=True)
class Noticed:
    """Message: the attendant should know this."""

    text: str


@dataclass(frozen=True, slots=True)
class Lost:
    """Message: the camera is gone, and so is this process."""

    error: KioskError


Message = Opened | StillReady | ShotRefused | Noticed | DeviceSettings | Lost


def serve(driver: Driver, pipe: Pipe, live: Mailbox, stills: Mailbox) -> None:
    """Drive the camera until told to leave; the target of the spawned process."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_die_with_parent, name="parent watch", daemon=True).start()
    try:
        _drive(driver, pipe, live, stills)
    except Exception as error:
        with contextlib.suppress(OSError):
            pipe.send(Lost(camera_fault(error)))
    finally:
        with contextlib.suppress(Exception):
            driver.close()


def _die_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(0)


def _drive(driver: Driver, pipe: Pipe, live: Mailbox, stills: Mailbox) -> None:
    clock = SystemClock()
    model = driver.open()
    announced = False
    due_s = clock.now_s()
    while True:
        if pipe.poll(max(0.0, due_s - clock.now_s())):
            order: Order = pipe.recv()
            if isinstance(order, Leave):
                return
            _obey(order, driver, pipe, stills)
            continue
        due_s = max(due_s + driver.frame_interval_s, clock.now_s())
        jpeg = driver.next_frame()
        if looks_whole(jpeg):
            live.put(jpeg, clock.now_s())
            if not announced:
                pipe.send(Opened(model))
                announced = True
        if announced:
            for text in driver.notices():
                pipe.send(Noticed(text))


def _obey(order: Shoot | Ask | Tell, driver: Driver, pipe: Pipe, stills: Mailbox) -> None:
    if isinstance(order, Ask):
        driver.ask(order.wish, order.argument)
        return
    if isinstance(order, Tell):
        pipe.send(driver.settings())
        return
    try:
        jpeg = verified_still(driver.shoot())
        if len(jpeg) > stills.capacity_bytes:
            raise CameraFault(detail="its picture is larger than any this program expects")
        stills.put(jpeg, SystemClock().now_s())
    except Exception as error:
        pipe.send(ShotRefused(camera_fault(error)))
    else:
        pipe.send(StillReady())
