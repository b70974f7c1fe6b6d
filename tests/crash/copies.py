"""Copy and restore a ledger, killed at one change of a file after another: a process with `cut.c` preloaded."""

import ctypes
import json
import os
import shutil
import sys
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

from kiosk.store.ledger.copies import copies_in, copy_ledger, restore

DAY, NOW = date(2026, 3, 1), datetime(2026, 3, 1, 12, tzinfo=UTC)


def copied(at: Path) -> None:
    """Copy the ledger over the same day's earlier copy."""
    copy_ledger(at / "state" / "ledger.sqlite3", at / "medium", DAY, 30)


def restored(at: Path) -> None:
    """Restore the newest copy."""
    restore(copies_in(at / "medium")[-1], at / "state" / "ledger.sqlite3", NOW)


def sweep(act: Callable[[Path], None], state: Path, medium: Path, out: Path) -> int:
    """Do something on copies of both folders, each killed one change later; return how many there were."""
    library, changes = ctypes.CDLL(None), 0
    for torn in (0, 1):
        nth = 0
        while True:
            nth += 1
            at = out / f"{nth}-{torn}"
            shutil.copytree(state, at / "state")
            shutil.copytree(medium, at / "medium")
            child = os.fork()
            if child == 0:
                library.cut_arm(nth, torn)
                act(at)
                os._exit(0)
            _, status = os.waitpid(child, 0)
            changes += 1
            if not os.WIFSIGNALED(status):
                break
    return changes


if __name__ == "__main__":
    state, medium, out = map(Path, sys.argv[1:])
    acts = {"copy": copied, "restore": restored}
    print(json.dumps({name: sweep(act, state, medium, out / name) for name, act in acts.items()}))
