"""The thread that copies the ledger once a day: a medium that hangs holds up neither the ledger nor the booth."""

from __future__ import annotations

import contextlib
import logging
import threading
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.store.ledger.copies import copies_in, copy_ledger, day_of
from kiosk.system.clock import Clock

LOOK_S = 600.0
"""How often it looks whether the day has its copy: a medium that was away is used soon after it is back."""
END_S = 5.0
"""How long the booth waits at its end for a copy that is being written."""

_log = logging.getLogger(__name__)


@contextlib.contextmanager
def copied_daily(ledger: Path, folder: Path | None, kept: int, clock: Clock, look_s: float = LOOK_S) -> Iterator[None]:
    """Copy the ledger to a folder once a day while the context lasts, and once more at its end; None copies nothing.

    The ledger must still be open at the end, or be closed; a copy that fails is logged when its reason changes.
    """
    if folder is None:
        yield
        return
    ended = threading.Event()
    thread = threading.Thread(
        target=_copy_on, args=(ledger, folder, kept, clock, look_s, ended), name="ledger's copies", daemon=True
    )
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join(END_S)


def _copy_on(ledger: Path, folder: Path, kept: int, clock: Clock, look_s: float, ended: threading.Event) -> None:
    said, done = "", date.min
    while True:
        is_last, today = ended.is_set(), clock.today()
        try:
            if is_last or (done != today and today not in map(day_of, copies_in(folder))):
                copy_ledger(ledger, folder, today, kept)
                done = today
            said = ""
        except (KioskError, OSError) as error:
            if str(error) != said:
                said = str(error)
                _log.warning("The ledger was not copied. %s", said)
        if is_last:
            return
        ended.wait(look_s)
