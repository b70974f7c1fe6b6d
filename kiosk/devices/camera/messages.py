"""Orders to the camera's own process, and its answers; each so short that nobody waits for the rest of one."""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import DeviceSettings
from kiosk.errors import KioskError


@dataclass(frozen=True, slots=True)
class StartCamera:
    """Order: open the camera; until it comes, the process is a spare one."""


@dataclass(frozen=True, slots=True)
class TakeStill:
    """Order: take a still, which is known by its ticket."""

    ticket: Ticket


@dataclass(frozen=True, slots=True)
class ForgetPictures:
    """Order: forget every picture that came before; `Forgotten` follows."""


@dataclass(frozen=True, slots=True)
class Forward:
    """Order: pass a wish on to the driver."""

    wish: str
    argument: str


@dataclass(frozen=True, slots=True)
class ReadSettings:
    """Order: read the camera's settings; `DeviceSettings` follows."""


@dataclass(frozen=True, slots=True)
class StopCamera:
    """Order: disconnect and end."""


CameraRequest = StartCamera | TakeStill | ForgetPictures | Forward | ReadSettings | StopCamera


@dataclass(frozen=True, slots=True)
class Unopened:
    """Message: no camera is there; the process goes on looking for one."""

    error: KioskError


@dataclass(frozen=True, slots=True)
class Opened:
    """Message: the first live frame has come."""

    model: str


@dataclass(frozen=True, slots=True)
class StillReady:
    """Message: the verified still of the ticket lies in its mailbox under a sequence number."""

    ticket: Ticket
    sequence: int


@dataclass(frozen=True, slots=True)
class ShotRefused:
    """Message: there is no still for the ticket."""

    ticket: Ticket
    error: KioskError


@dataclass(frozen=True, slots=True)
class Forgotten:
    """Message: live frames up to that sequence number may show what was to be forgotten; later ones do not."""

    sequence: int


@dataclass(frozen=True, slots=True)
class Noticed:
    """Message: the attendant should know this."""

    text: str


@dataclass(frozen=True, slots=True)
class Lost:
    """Message: the camera is gone, and so is this process."""

    error: KioskError


Message = Unopened | Opened | StillReady | ShotRefused | Forgotten | Noticed | DeviceSettings | Lost
