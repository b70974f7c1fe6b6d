"""Check the ledger's copies: whether the second medium is there, is another one, and has a copy of these days."""

from __future__ import annotations

import queue
import threading
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from kiosk.core.view.finding import Finding
from kiosk.errors import os_reason
from kiosk.settings import Settings
from kiosk.store.ledger.copies import copies_in, day_of

ANSWER_S = 5.0
"""How long a medium may take to list a folder: a disk that sleeps takes some seconds to turn (practice)."""
OLDEST = timedelta(days=2)
"""The age of the newest copy that is warned of: a booth that was shut over a Sunday has Saturday's."""


def copy_findings(settings: Settings, today: date) -> Iterator[Finding]:
    """Yield a finding on the ledger's copies if the settings ask for them; none keeps the booth closed."""
    folder = settings.copies_folder
    if folder is None:
        return
    try:
        copies, same_disk = _within(folder, settings.ledger_file)
    except OSError as error:
        yield _finding(
            "missing",
            f"The folder of the ledger's copies, {folder}, cannot be read: {os_reason(error)}.",
            "Plug the second medium in and mount it; the booth then copies within ten minutes.",
        )
        return
    if same_disk:
        yield _finding(
            "same disk",
            f"The ledger's copies in {folder} are on the same disk as the ledger.",
            "Mount the second medium there, or name its folder as copies.folder.",
        )
    elif not copies:
        yield _finding("none", f"There is no copy of the ledger in {folder} yet.", "Start the booth; it makes one.")
    elif today - day_of(copies[-1]) > OLDEST:
        yield _finding(
            day_of(copies[-1]).isoformat(),
            f"The newest copy of the ledger in {folder} is of {day_of(copies[-1]).isoformat()}.",
            "Read in the log why it was not copied since; the medium may be full or broken.",
        )
    else:
        newest = day_of(copies[-1]).isoformat()
        yield Finding(
            "ledger_copies", newest, "", True, f"The newest of {len(copies)} copies is of {newest}.", subject="machine"
        )


def _within(folder: Path, ledger: Path) -> tuple[list[Path], bool]:
    """Return the copies and whether they share the ledger's disk.

    Raises
    ------
    OSError
        The folder cannot be read, or the medium does not answer within `ANSWER_S`.
    """
    answers: queue.SimpleQueue[tuple[list[Path], bool] | OSError] = queue.SimpleQueue()

    def look() -> None:
        try:
            beside = next(path for path in ledger.parents if path.exists())
            answers.put((copies_in(folder), folder.stat().st_dev == beside.stat().st_dev))
        except OSError as error:
            answers.put(error)

    threading.Thread(target=look, name="look at the copies", daemon=True).start()
    try:
        answer = answers.get(timeout=ANSWER_S)
    except queue.Empty:
        raise TimeoutError(None, f"it does not answer within {ANSWER_S:.0f} s") from None
    if isinstance(answer, OSError):
        raise answer
    return answer


def _finding(value: str, sentence: str, next_step: str) -> Finding:
    return Finding("ledger_copies", value, "", False, sentence, next_step, "machine")
