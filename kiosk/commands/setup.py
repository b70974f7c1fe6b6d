"""Ask for a booth's settings in the terminal and write them, with comments, to one file; may be run again.

The file's current values are the defaults, and its comments stay. Nothing is written before the last question, and
then the file is whole. Answers may be piped in, a line each.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.output import SETTINGS
from kiosk.commands.ready import take_reference, whole
from kiosk.errors import EXIT_DONE, AnswersEnded, KioskError

if TYPE_CHECKING:
    from kiosk.settings import Settings
    from kiosk.setup.ask import Terminal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")


def run(options: argparse.Namespace) -> int:
    """Ask the questions; then, if wanted, record the reference of the backdrop and check the booth."""
    from kiosk.settings import read_settings
    from kiosk.setup.ask import Terminal
    from kiosk.setup.file import SYSTEM, SettingsFile
    from kiosk.setup.walk import walk

    ask = Terminal(sys.stdin, sys.stdout)
    if walk(SettingsFile(options.settings.absolute()), ask):
        settings = read_settings(options.settings)
        if settings.file.parent != SYSTEM:
            _try(settings, ask)
        _next(settings, ask)
    return EXIT_DONE


def _try(settings: Settings, ask: Terminal) -> None:
    """Record the reference and check the booth, unless another user will run it and must do so."""
    from kiosk.ready.table import table

    ask.heading("Backdrop and light")
    ask.say("With the lamps on and the seat empty, a shot of the backdrop shows what it should look like every day.")
    try:
        if ask.yes("Take it now", default=False):
            ask.show(table(take_reference(settings)))
        if ask.yes("Check the whole booth now", default=True):
            ask.show(table(whole(settings)))
    except AnswersEnded:
        ask.say("The booth was not tried.")
    except KioskError as fault:
        ask.say(f"{fault} {fault.advice}")


def _next(settings: Settings, ask: Terminal) -> None:
    """Print the remaining steps."""
    ask.heading("Next")
    if settings.printer.backend == "cups":
        ask.say("holdstill ruler: print a page, measure it, record the readings. No document is printed before that.")
    ask.say("holdstill ready reference: with the lamps on and the seat empty, once and after every change of either.")
    ask.say("holdstill ready: every day before opening.")
    ask.say(
        "The issuing authority decides on every photo, and its rules change. Faces are personal data: whoever runs the "
        "booth answers for them under the law of the place."
    )
