"""Run the kiosk until it is told to end (SIGTERM, SIGINT) or its window is closed."""

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
    """Add what the command takes."""
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="of the booth")
    parser.add_argument("--headless", action="store_true", help="draw without a screen")


def run(options: argparse.Namespace) -> int:
    """Run; at the end the sitter's files are wiped and the camera is let go.

    Where systemd has started the booth nobody sees its words, so that the screen says why it cannot be opened.
    """
    from kiosk.booth.assembly import open_booth, show_fault
    from kiosk.settings import read_settings
    from kiosk.system.clock import SystemClock

    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))  # a memory dump would hold a sitter's picture
    told_to_end = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: told_to_end.set())
    try:
        settings = read_settings(options.settings)
        with _log_of(settings), open_booth(settings, headless=options.headless) as booth:
            _log.info("holdstill %s is open", __version__)
            booth.loop.run(lambda: not told_to_end.is_set())
            ended_by_attendant = booth.loop.has_ended
            _log.info("it is closed")
    except KioskError as error:
        if "NOTIFY_SOCKET" in os.environ:
            show_fault(error, lambda: not told_to_end.is_set(), SystemClock(), headless=options.headless)
        raise
    return EXIT_ENDED if ended_by_attendant else EXIT_DONE


@contextlib.contextmanager
def _log_of(settings: Settings) -> Iterator[None]:
    """Keep the log while the booth runs, and what ended it; a log that cannot be kept does not keep the booth shut."""
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
