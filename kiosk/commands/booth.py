"""Run the kiosk."""

from __future__ import annotations

import argparse
from pathlib import Path

from kiosk.commands.told import SETTINGS
from kiosk.errors import EXIT_DONE


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the command takes."""
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE")
    parser.add_argument("--headless", action="store_true", help="draw without a screen")


def run(options: argparse.Namespace) -> int:
    """Run until the window is closed."""
    from kiosk.app import open_booth
    from kiosk.settings import read_settings

    with open_booth(read_settings(options.settings), headless=options.headless) as booth:
        booth.loop.run(lambda: True)
    return EXIT_DONE
