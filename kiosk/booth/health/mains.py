"""The mains: without them the booth ends its session in order while the battery lasts, and takes no sitter."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from kiosk.booth.health.out_of_order import OutOfOrder
from kiosk.core.base.mains import MAINS_ADVICE, Mains
from kiosk.core.session.events import Event, Failed
from kiosk.core.view.sitter import State

GRACE_S = 10.0
"""For how long the mains may fail without consequences: most failures last a second or two (this project's own choice).
"""


class MainsHealth:
    """Whether the mains are there, and what of it concerns the session; for the frame loop's thread only.

    Parameters
    ----------
    last
        Returns the UPS's last answer, or None where there is none; never blocks.
    out_of_order
        Shared with the other watches.
    """

    def __init__(self, last: Callable[[], Mains | None], out_of_order: OutOfOrder) -> None:
        self._last = last
        self._out_of_order = out_of_order
        self._failed_s: float | None = None

    def watched(self, state: State, now_s: float) -> Iterator[Event]:
        """End the session once the mains have failed for too long; a sheet that is being printed may still come out.

        A UPS that cannot be asked changes nothing: the booth stays as it is.
        """
        mains = self._last()
        if mains is None or mains.trouble:
            return
        if not mains.have_failed:
            self._failed_s = None
            yield from self._out_of_order.clear("mains")
            return
        if self._failed_s is None:
            self._failed_s = now_s
        waits = state == "printing" or now_s - self._failed_s < GRACE_S
        if "mains" not in self._out_of_order and (mains.is_ending or not waits):
            self._out_of_order.add("mains")
            yield Failed(mains.sentence, MAINS_ADVICE, key="mains_failed")
