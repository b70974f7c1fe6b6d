"""The roster that a command works on, opened as one station of the event."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.errors import NoRoster

if TYPE_CHECKING:
    from kiosk.store.roster.database import Database
    from kiosk.store.roster.roster import Roster


@contextmanager
def opened_roster(options: argparse.Namespace, *, is_new: bool = False) -> Iterator[Roster]:
    """Open the roster for the time of a command."""
    from kiosk.store.roster.roster import Roster
    from kiosk.system.clock import SystemClock

    with closing(Roster(opened_database(options, is_new=is_new), options.station, SystemClock())) as roster:
        yield roster


def opened_database(options: argparse.Namespace, *, is_new: bool = False) -> Database:
    """Open the roster; a file that does not exist is made only if it may be new."""
    from kiosk.store.roster.database import Database

    if "://" in options.roster:
        return Database(options.roster)
    path = Path(options.roster).resolve()
    if not (is_new or path.exists()):
        raise NoRoster(path=options.roster)
    return Database(f"sqlite:///{path}")
