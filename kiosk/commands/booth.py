"""Run the kiosk until it is told to end (SIGTERM, SIGINT) or its window is closed."""

from __future__ import annotations

import argparse
import signal
import threading
from pathlib import Path

from kiosk.commands.told import SETTINGS
from kiosk.errors import EXIT_DONE


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the command takes."""
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE")
    parser.add_argument("--headless", action="store_true", help="draw without a screen")


def run(options: argparse.Namespace) -> int:
    """Run; at the end the sitter's files are wiped and the camera is let go."""
    from kiosk.app import open_booth
    from kiosk.settings import read_settings

    told_to_end = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: told_to_end.set())
    with open_booth(read_settings(options.settings), headless=options.headless) as booth:
        booth.loop.run(lambda: not told_to_end.is_set())
    return EXIT_DONE
