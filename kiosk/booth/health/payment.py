"""The payment unit's health: the booth takes no sitter whom it could not let pay; a session goes on."""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.booth.health.out_of_order import OutOfOrder, failure
from kiosk.core.session.events import Event
from kiosk.core.view.sitter import State
from kiosk.devices.base import DeviceFailed, DeviceReady
from kiosk.errors import KioskError

UNSEATED: tuple[State, ...] = ("welcome", "choose", "prepare", "privacy", "out_of_order")
"""In which states nobody sits before the camera, or has a photo."""


class PaymentHealth:
    """Whether the unit can take money; for the frame loop's thread only.

    Parameters
    ----------
    out_of_order
        Shared with the other watches.
    """

    def __init__(self, out_of_order: OutOfOrder) -> None:
        self._out_of_order = out_of_order
        self._error: KioskError | None = None

    @property
    def trouble(self) -> str:
        """Why it cannot take money now, as a sentence; nothing where it can."""
        return "" if self._error is None else str(self._error)

    def heard(self, event: DeviceFailed | DeviceReady) -> Iterator[Event]:
        """Process one event of the unit."""
        if isinstance(event, DeviceFailed):
            self._error = event.error
            if "payment" in self._out_of_order:
                yield failure(event.error)
        else:
            self._error = None
            yield from self._out_of_order.clear("payment")

    def idle(self, state: State) -> Iterator[Event]:
        """Close the booth for a unit that cannot take money, while nobody sits before the camera."""
        if self._error is not None and "payment" not in self._out_of_order and state in UNSEATED:
            self._out_of_order.add("payment")
            yield failure(self._error)
