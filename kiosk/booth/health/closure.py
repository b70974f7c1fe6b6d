"""The booth kept shut although its devices answer: by the machine under it, and from the attendant's desk."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator

from kiosk.booth.health.out_of_order import OutOfOrder
from kiosk.core.attendant.state import Desk
from kiosk.core.session.events import Event, Failed
from kiosk.core.view.sitter import State

SHUT_CHECK_S = 30.0
"""How often the booth is asked whether something keeps it shut, while no sitter is there."""

_log = logging.getLogger(__name__)


class Closure:
    """Whether the booth takes a sitter; for the frame loop's thread only.

    Parameters
    ----------
    shut
        Returns why the machine would harm a sitter's photo, as a sentence and a next step, or None; never blocks.
    out_of_order
        Shared with the other watches.
    """

    def __init__(self, shut: Callable[[], tuple[str, str] | None], out_of_order: OutOfOrder) -> None:
        self._shut = shut
        self._out_of_order = out_of_order
        self._asked_s: float | None = None

    def by_machine(self, state: State, now_s: float) -> Iterator[Event]:
        """Keep the booth closed while the machine is not fit, but never interrupt a sitter."""
        rested = self._asked_s is None or now_s - self._asked_s >= SHUT_CHECK_S
        if not rested or not _is_at_rest(state):
            return
        self._asked_s = now_s
        why = self._shut()
        if why is None:
            yield from self._out_of_order.clear("machine")
        elif "machine" not in self._out_of_order:
            _log.error("the booth is shut: %s", why[0])
            self._out_of_order.add("machine")
            yield Failed(*why, key="booth_shut")

    def by_desk(self, desk: Desk, state: State) -> Iterator[Event]:
        """Keep the booth closed while the desk asks for it; an empty printer waits until the sitter has left."""
        why = desk.why_shut
        if why is None:
            yield from self._out_of_order.clear("desk")
        elif "desk" not in self._out_of_order and (desk.is_shut or _is_at_rest(state)):
            self._out_of_order.add("desk")
            yield Failed(*why, key="shut_by_attendant" if desk.is_shut else "no_paper")


def _is_at_rest(state: State) -> bool:
    return state in ("welcome", "out_of_order")
