"""Run the kiosk until SIGTERM or SIGINT arrives or its window is closed; SIGHUP ends it between two sitters.

Whoever runs it as a service sends SIGHUP after a change of the program, the settings or the rules: the service starts
it again, and what was changed is in force.
"""

from __future__ import annotations

import argparse
import contextlib
import logging
import os
import resource
import signal
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk import __version__
from kiosk.commands.output import SETTINGS, complain
from kiosk.errors import EXIT_DONE, EXIT_ENDED, CannotWrite, KioskError

if TYPE_CHECKING:
    from kiosk.settings import Settings

_log = logging.getLogger(__name__)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    parser.add_argument("--headless", action="store_true", help="draw without a screen")


def run(options: argparse.Namespace) -> int:
    """Run the booth; at the end, the sitter's files are wiped and the camera is released.

    If the booth was started by systemd, nobody sees its output, so the screen shows why it cannot open.
    """
    from kiosk.booth.assembly import open_booth
    from kiosk.booth.fault_screen import show_fault
    from kiosk.settings import read_settings
    from kiosk.system.clock import SystemClock
    from kiosk.system.memory import keep_to_itself

    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))  # a memory dump would hold a sitter's picture
    keep_to_itself()
    stopping, leaving = threading.Event(), threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: stopping.set())
    signal.signal(signal.SIGHUP, lambda *_: leaving.set())
    try:
        settings = read_settings(options.settings)
        with _log_of(settings), open_booth(settings, headless=options.headless) as booth:
            _log.info("holdstill %s is open", __version__)
            booth.loop.run(lambda: not (stopping.is_set() or (leaving.is_set() and booth.loop.is_free)))
            ended_by_attendant = booth.loop.has_ended
            _log.info("it is closed")
    except KioskError as error:
        if "NOTIFY_SOCKET" in os.environ:
            ending = (stopping, leaving)
            show_fault(
                error, lambda: not any(each.is_set() for each in ending), SystemClock(), headless=options.headless
            )
        raise
    return EXIT_ENDED if ended_by_attendant else EXIT_DONE


@contextlib.contextmanager
def _log_of(settings: Settings) -> Iterator[None]:
    """Write the log while the booth runs, including the error that ended it; the booth opens even without a log."""
    from kiosk.system.json_log import keep_log

    with contextlib.ExitStack() as closing:
        if settings.logs.folder:
            try:
                closing.enter_context(keep_log(settings.path(settings.logs.folder), settings.booth.name))
            except CannotWrite as error:
                complain(error)
        try:
            yield
        except Exception:
            _log.critical("the booth has ended by a fault", exc_info=True)
            raise
