"""The camera's troubles: a lost shot is taken again, a lost camera puts the booth out of order until it answers."""

from __future__ import annotations

import logging
from collections.abc import Iterator

from kiosk.booth.health.out_of_order import OutOfOrder, failure
from kiosk.core.base.ticket import Ticket
from kiosk.core.session.events import Event, ShotArrived, ShotFailed
from kiosk.devices.base import Camera, CameraEvent, DeviceFailed, DeviceNotice, DeviceReady, StillTaken
from kiosk.errors import CameraFault, KioskError

GRACE_S = 4.0
"""How long a sitter waits for the camera to come back before the booth says that it is out of order."""
REFUSED_SHOTS = 3
"""How many shots a camera that answers may refuse in a row before the booth says that it is out of order."""
REFUSED_REST_S = 30.0
"""How long the booth then rests before it lets the next sitter try."""
MOST_NOTICES = 4
"""How many notices are kept; the newest then replaces the one before it, as the first may be given only once."""

_log = logging.getLogger(__name__)


class CameraHealth:
    """The camera's health, and what of it concerns the session; for the frame loop's thread only.

    Parameters
    ----------
    camera
        The source of the state; its events are passed in by whoever polls it.
    out_of_order
        Shared with the other watches.
    now_s
        When the camera was started; until it answers it counts as lost.

    Attributes
    ----------
    notices
        What the attendant should look at before long, a sentence each, in the order in which they were first given.
    """

    def __init__(self, camera: Camera, out_of_order: OutOfOrder, now_s: float) -> None:
        self._camera = camera
        self._out_of_order = out_of_order
        self._down_s: float | None = now_s
        self._error: KioskError = CameraFault(detail="no picture has come")
        self._refused_shots = 0
        self._refused_s = now_s
        self.notices: tuple[str, ...] = ()

    @property
    def trouble(self) -> str:
        """Why it cannot be used now, as a sentence; nothing where it can."""
        return str(self._error) if "camera" in self._out_of_order or self._down_s is not None else ""

    def heard(self, event: CameraEvent, now_s: float) -> Iterator[Event]:
        """Process one event of the camera."""
        match event:
            case StillTaken(ticket, jpeg):
                self._refused_shots = 0
                yield ShotArrived(ticket, jpeg)
            case DeviceFailed(error, ticket):
                _log.warning("camera: %s", error)
                self._error = error
                if self._camera.state != "ready" and self._down_s is None:
                    self._down_s = now_s
                if "camera" in self._out_of_order:
                    yield failure(error)
                elif ticket is not None:
                    yield from self._shot_failed(ticket, error, now_s)
            case DeviceNotice(text):
                _log.warning("camera: %s", text)
                if text not in self.notices:
                    self.notices = (*self.notices[: MOST_NOTICES - 1], text)
            case DeviceReady():
                self._down_s, self.notices, self._refused_shots = None, (), 0
                yield from self._out_of_order.clear("camera")

    def waited(self, now_s: float) -> Iterator[Event]:
        """Give up a camera that has been lost for too long, and try again one that has rested after its refusals.

        A camera that is lost while it rests stays out of order until it answers.
        """
        down_s = 0.0 if self._down_s is None else now_s - self._down_s
        if down_s > GRACE_S and "camera" not in self._out_of_order:
            self._out_of_order.add("camera")
            yield failure(self._error)
        rested = now_s - self._refused_s > REFUSED_REST_S
        if self._refused_shots >= REFUSED_SHOTS and rested and self._down_s is None:
            self._refused_shots = 0
            yield from self._out_of_order.clear("camera")

    def _shot_failed(self, ticket: Ticket, error: KioskError, now_s: float) -> Iterator[Event]:
        """Let the shot be taken again, unless a camera that answers has refused several in a row."""
        self._refused_shots += self._camera.state == "ready"
        if self._refused_shots < REFUSED_SHOTS:
            yield ShotFailed(ticket)
        else:
            self._refused_s = now_s
            self._out_of_order.add("camera")
            yield failure(error)
