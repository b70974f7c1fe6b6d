"""Pack versions, settings without secrets, and the last faults for support; never a picture."""

from __future__ import annotations

import argparse
from pathlib import Path

from kiosk.commands.arguments import file_in
from kiosk.commands.output import SETTINGS, complain, write
from kiosk.errors import EXIT_DONE, KioskError, shown


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    archive = Path("holdstill-report.zip")
    parser.add_argument("-o", "--output", type=file_in(".zip"), default=archive, metavar="FILE", help="the archive")


def run(options: argparse.Namespace) -> int:
    """Write the archive, even if the booth's settings are faulty."""
    from kiosk.booth.desk_assembly import standing
    from kiosk.commands.support_bundle import packed, packed_without_settings
    from kiosk.settings import read_settings
    from kiosk.system.clock import SystemClock

    try:
        settings = read_settings(options.settings)
        content = packed(settings, standing(settings, SystemClock()))
    except KioskError as error:
        complain(error)
        content = packed_without_settings(f"{error}\n{error.advice}")
    write(options.output, content)
    print(
        f"{shown(options.output)}: check it before you send it; it contains no picture, no PIN and no name of a sitter"
    )
    return EXIT_DONE
