"""What every device has in common: its state, and the events that it reports of itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kiosk.core.base.ticket import Ticket
from kiosk.errors import KioskError

DeviceState = Literal["starting", "ready", "busy", "fault", "closed"]


@dataclass(frozen=True, slots=True)
class DeviceFailed:
    """A command or the connection failed; the device tries to come back by itself.

    `ticket` is that of the shot which is lost with it; None where none was under way, and of a printer.
    """

    error: KioskError
    ticket: Ticket | None = None


@dataclass(frozen=True, slots=True)
class DeviceReady:
    """The device answers, at start or again after a fault."""

    model: str


@dataclass(frozen=True, slots=True)
class DeviceNotice:
    """The device goes on, but an attendant should look at it before long.

    `text` is one sentence; an empty one says that all is well again.
    """

    text: str
