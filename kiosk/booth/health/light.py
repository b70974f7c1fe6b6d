"""The light: lamps on while somebody uses the booth, and out of order while their line or the flash's does not obey."""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.booth.health.out_of_order import OutOfOrder, failure
from kiosk.core.session.events import Event
from kiosk.core.view.sitter import State
from kiosk.devices.light.lit_camera import LitCamera

NOBODY: tuple[State, ...] = ("welcome", "out_of_order")
"""The states in which the lamps may go off."""
PHOTO_TAKEN: tuple[State, ...] = (
    "measuring",
    "review",
    "copies",
    "release",
    "printing",
    "unprinted",
    "collect",
    "take_file",
    "thanks",
)
"""The states in which the sitter can do without light: the photo is there, or on its way to paper."""


class LightHealth:
    """The health of the light, and what of it concerns the session; for the frame loop's thread only.

    Parameters
    ----------
    camera
        The camera with its light; None where the program works no light.
    out_of_order
        Shared with the other watches.
    """

    def __init__(self, camera: LitCamera | None, out_of_order: OutOfOrder) -> None:
        self._camera = camera
        self._out_of_order = out_of_order

    @property
    def trouble(self) -> str:
        """What is wrong with it now, as a sentence; nothing where it is well."""
        fault = self._camera.fault if self._camera is not None else None
        return "" if fault is None else str(fault)

    def watched(self, state: State) -> Iterator[Event]:
        """Keep the lamps on during a session, and end one that cannot have its light."""
        if self._camera is None:
            return
        if state not in NOBODY:
            self._camera.need_light()
        fault = self._camera.fault
        if fault is None:
            yield from self._out_of_order.clear("light")
        elif "light" not in self._out_of_order and state not in PHOTO_TAKEN:
            self._out_of_order.add("light")
            yield failure(fault)
