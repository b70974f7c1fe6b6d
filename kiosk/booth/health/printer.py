"""The printer's health: a failed sheet is reported to its sitter; other faults wait until the seat is empty."""

from __future__ import annotations

import logging
from collections.abc import Iterator

from kiosk.booth.health.out_of_order import OutOfOrder, failure
from kiosk.core.session.events import Event, PrinterStood, PrintMoved
from kiosk.core.view.sitter import State
from kiosk.devices.base import DeviceFailed, DeviceNotice, DeviceReady, PrinterEvent
from kiosk.errors import KioskError

UNSEATED: tuple[State, ...] = ("welcome", "choose", "prepare", "privacy", "unprinted", "out_of_order")
"""In which states nobody sits before the camera."""

_log = logging.getLogger(__name__)


class PrinterHealth:
    """The printer's health, and what of it concerns the session; for the frame loop's thread only.

    Parameters
    ----------
    out_of_order
        Shared with the other watches.

    Attributes
    ----------
    notice
        What the attendant should look at before long, as sentences; nothing where nothing is.
    """

    def __init__(self, out_of_order: OutOfOrder) -> None:
        self._out_of_order = out_of_order
        self._error: KioskError | None = None
        self._has_news = False
        self._told_able: bool | None = None
        self.notice = ""

    @property
    def trouble(self) -> str:
        """Why it cannot print now, as a sentence; nothing where it can."""
        return "" if self._error is None else str(self._error)

    def heard(self, status: PrinterEvent, *, is_sitters: bool) -> Iterator[Event]:
        """Process one event of the printer; a sheet that comes out proves as much as a check.

        Parameters
        ----------
        is_sitters
            Whether it is about the sheet that the sitter waits for.
        """
        match status:
            case DeviceFailed(error):
                _log.warning("printer: %s", error)
                self._error, self._has_news = error, True
                return
            case DeviceNotice(text):
                if text:
                    _log.warning("printer: %s", text)
                self.notice = text
                return
            case DeviceReady():
                yield from self._mended()
                return
        match status.state, status.error:
            case "printing" | "done" as state, _:
                if is_sitters:
                    yield PrintMoved(state)
                if state == "done":
                    yield from self._mended()
            case "held", KioskError() as error:
                _log.warning("printer: a sheet is held: %s", error)
                self._error = error
                if is_sitters:
                    yield PrintMoved("held")
            case "failed", KioskError() as error:
                _log.warning("printer: %s", error)
                self._error = error
                if is_sitters:
                    self._has_news = False
                    self._out_of_order.add("printer")
                    yield failure(error)

    def idle(self, state: State) -> Iterator[Event]:
        """Say that an idle printer could not print, while nobody sits before the camera; a session goes on.

        A printer that is known not to print stays so when it gives another reason, which is said as soon as it may be.
        Who chooses sheets hears whether they could be printed, and again when that changes, before paying for them.
        """
        if state != "copies":
            self._told_able = None
        elif self._told_able != (able := self._error is None):
            self._told_able = able
            yield PrinterStood(able)
        is_new = self._has_news or "printer" not in self._out_of_order
        if self._error is not None and is_new and state in UNSEATED:
            self._has_news = False
            self._out_of_order.add("printer")
            yield failure(self._error)

    def _mended(self) -> Iterator[Event]:
        self._error, self._has_news = None, False
        yield from self._out_of_order.clear("printer")
