"""The main program of the camera's own process: one loop that owns the driver.

    python -m kiosk.devices.camera.child_main PIPE LIVE LIVE_BYTES STILLS STILLS_BYTES

The arguments are inherited file descriptors and the mailboxes' capacities. The driver comes first through the pipe;
what opening the camera will need is then imported and loaded, and the process waits, as a spare one, for the order to
begin. From then on it takes orders, puts live frames and stills into the mailboxes, and answers with short messages.
It ends on the order to stop, when the connection to the camera is lost, or when its parent is gone, even in the middle
of a hung call.
"""

from __future__ import annotations

import contextlib
import signal
import sys
from multiprocessing.connection import Connection

from kiosk.core.base.ticket import Ticket
from kiosk.devices.camera.driver import (
    CameraDriver,
    DamagedFrame,
    NotThere,
    load_decoder,
    sound_frame,
    verified_still,
)
from kiosk.devices.camera.fault_hints import camera_fault
from kiosk.devices.camera.mailbox import Mailbox
from kiosk.devices.camera.messages import (
    CameraRequest,
    ForgetPictures,
    Forgotten,
    Forward,
    Lost,
    Noticed,
    Opened,
    ReadSettings,
    ShotRefused,
    StillReady,
    StopCamera,
    TakeStill,
    Unopened,
)
from kiosk.errors import CameraFault
from kiosk.system.children import end_with_parent
from kiosk.system.clock import SystemClock
from kiosk.system.memory import keep_to_itself

LOOK_S = 0.5
"""How often an absent camera is looked for: a fifth of the 3 s within which the live view is to be back, while a look
takes about 30 ms."""

LOOKS = 120
"""Attempts to find a camera per process, about a minute's worth: libgphoto2 2.5.34 leaks 0.17 MB per USB scan
(measured)."""

MOST_DAMAGED = 30
"""How many damaged live frames in a row are a fault: a second of thirty frames, before the silence is noticed."""

MANY_DAMAGED = 10
"""The number of damaged live frames of one connection at which the attendant gets a notice (practice: more than
chance)."""


def main() -> None:
    """Serve until the order to stop."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    keep_to_itself()
    pipe_fd, *boxes = map(int, sys.argv[1:])
    pipe, live, stills = Connection(pipe_fd), Mailbox(*boxes[:2]), Mailbox(*boxes[2:])
    end_with_parent(pipe_fd)
    with contextlib.suppress(EOFError):
        _serve(pipe, live, stills)


def _serve(pipe: Connection, live: Mailbox, stills: Mailbox) -> None:
    driver: CameraDriver | None = None
    try:
        driver = pipe.recv()
        driver.warm_up()
        load_decoder()
        if isinstance(pipe.recv(), StopCamera):
            return
        model = _opened(driver, pipe, live)
        if model is not None:
            _drive(driver, model, pipe, live, stills)
    except EOFError:
        raise
    except Exception as error:
        with contextlib.suppress(OSError):
            pipe.send(Lost(camera_fault(error)))
    finally:
        with contextlib.suppress(Exception):
            if driver is not None:
                driver.close()


def _opened(driver: CameraDriver, pipe: Connection, live: Mailbox) -> str | None:
    """Open the camera as soon as it is there, and return its model; None on the order to stop before that."""
    for _ in range(LOOKS - 1):
        try:
            return driver.open()
        except NotThere as error:
            pipe.send(Unopened(error))
        if pipe.poll(LOOK_S):
            match pipe.recv():
                case StopCamera():
                    return None
                case ForgetPictures():
                    pipe.send(Forgotten(live.sequence()))
    return driver.open()


def _drive(driver: CameraDriver, model: str, pipe: Connection, live: Mailbox, stills: Mailbox) -> None:
    clock = SystemClock()
    announced = False
    damaged = in_a_row = 0
    due_s = clock.now_s()
    while True:
        if pipe.poll(max(0.0, due_s - clock.now_s())):
            order: CameraRequest = pipe.recv()
            if isinstance(order, StopCamera):
                return
            _obey(order, driver, pipe, live, stills)
            continue
        due_s = max(due_s + driver.frame_interval_s, clock.now_s())
        try:
            jpeg = sound_frame(driver.next_frame())
        except DamagedFrame:
            damaged, in_a_row = damaged + 1, in_a_row + 1
            if in_a_row == MOST_DAMAGED:
                raise
            if damaged == MANY_DAMAGED:
                pipe.send(Noticed(f"{damaged} live pictures have arrived damaged; the camera's cable may be loose."))
            continue
        if jpeg:
            in_a_row = 0
            live.put(jpeg, clock.now_s())
            if not announced:
                pipe.send(Opened(model))
                announced = True
        if announced:
            for text in driver.notices():
                pipe.send(Noticed(text))


def _obey(order: CameraRequest, driver: CameraDriver, pipe: Connection, live: Mailbox, stills: Mailbox) -> None:
    if isinstance(order, Forward):
        driver.ask(order.wish, order.argument)
    elif isinstance(order, ReadSettings):
        pipe.send(driver.settings())
    elif isinstance(order, ForgetPictures):
        driver.forget()
        pipe.send(Forgotten(live.sequence()))
    elif isinstance(order, TakeStill):
        _shoot(order.ticket, driver, pipe, stills)


def _shoot(ticket: Ticket, driver: CameraDriver, pipe: Connection, stills: Mailbox) -> None:
    try:
        sequence = _put_still(verified_still(driver.shoot()), stills)
    except Exception as error:
        pipe.send(ShotRefused(ticket, camera_fault(error)))
    else:
        pipe.send(StillReady(ticket, sequence))


def _put_still(jpeg: bytes, stills: Mailbox) -> int:
    """Put a still into the mailbox and return its number there; this process keeps no copy."""
    if len(jpeg) > stills.capacity_bytes:
        raise CameraFault(detail="its picture is larger than any this program expects")
    return stills.put(jpeg, SystemClock().now_s())


if __name__ == "__main__":
    main()
