"""The contract of a camera, and what it reports.

Nothing here blocks the caller for longer than a memory copy: a camera works in a process of its own, and the frame loop
polls. Buffers handed out are `bytes`, owned by the receiver.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from kiosk.core.base.ticket import Ticket
from kiosk.core.camera_setup.exposure import Setting
from kiosk.devices.base.device import DeviceFailed, DeviceNotice, DeviceReady, DeviceState

LOW_BATTERY_PERCENT = 25
"""At or below this charge the attendant is warned (practice: time to change batteries before the camera stops)."""


@dataclass(frozen=True, slots=True)
class LiveFrame:
    """The newest picture of the live view.

    Attributes
    ----------
    sequence
        Rises by one for each frame the camera delivered.
    taken_s
        Monotonic seconds at which the camera delivered it.
    jpeg
        The picture as the camera sent it, not mirrored.
    """

    sequence: int
    taken_s: float
    jpeg: bytes


@dataclass(frozen=True, slots=True)
class StillTaken:
    """The shot that was ordered under the ticket has arrived, as the file the camera wrote."""

    ticket: Ticket
    jpeg: bytes


@dataclass(frozen=True, slots=True)
class DeviceSettings:
    """How the camera is set, and how it can be.

    Attributes
    ----------
    settings
        By role, `iso`, `aperture`, `white_balance` and so on, in the camera's own words; empty where it has none.
    temperatures_k
        Of those of its white balances whose temperature is known.
    own_white
        Of its white balances, those that show a white as it was measured in the camera's own menu.
    room
        For how many more pictures its card has room; None where it does not say.
    automatic
        What it changes by itself from sitter to sitter, such as `exposure`.
    """

    settings: Mapping[str, Setting]
    temperatures_k: Mapping[str, float]
    own_white: tuple[str, ...] = ()
    room: int | None = None
    automatic: tuple[str, ...] = ()


CameraEvent = StillTaken | DeviceFailed | DeviceReady | DeviceNotice | DeviceSettings


class Camera(Protocol):
    """A tethered camera seen from the frame loop. Every method but `close` returns at once."""

    @property
    def state(self) -> DeviceState:
        """The state as last known."""
        ...

    @property
    def simulated(self) -> bool:
        """Whether its pictures are made up; shown on the screen and on every sheet."""
        ...

    def start(self) -> None:
        """Connect and begin the live view; `DeviceReady` follows."""
        ...

    def newest(self) -> LiveFrame | None:
        """Return the newest live frame, or None where none has come since the start or since `forget`.

        Safe from any one thread.
        """
        ...

    def shoot(self, ticket: Ticket) -> None:
        """Take a still; `StillTaken` or `DeviceFailed` follows, under the same ticket.

        While another one is being taken, it is taken afterwards; a ticket that is under way is not taken twice.
        """
        ...

    def forget(self) -> None:
        """Forget every picture that was taken before now: another sitter is before the camera, or none.

        No live frame from before is handed out any more, and no still of a later order shows what came before it.
        """
        ...

    def request_settings(self) -> None:
        """Ask how the camera is set; `DeviceSettings` follows, unless the camera is not ready."""
        ...

    def poll(self) -> list[CameraEvent]:
        """Return what has happened since the last call, oldest first."""
        ...

    def close(self) -> None:
        """Leave the live view and disconnect, within a few seconds; may be called twice."""
        ...
