"""Print the manual page for man(1), with all commands, their options and the exit codes.

To read it: holdstill manual > holdstill.1 && man ./holdstill.1. To keep it: put it into ~/.local/share/man/man1.
"""

from __future__ import annotations

import argparse
import re

from kiosk import __version__
from kiosk.errors import EXIT_DONE, MissingPart

_NOT_A_REQUEST = re.compile(r"^(?=\.(?!(?:nf|fi)$)[a-z]|')", re.MULTILINE)
"""Where a line begins with the ending of a file's name, such as .jpg, which roff would take for a request of its own
(groff(7), control characters)."""
_SUMMARY = "photo kiosk that measures identity photos and prints them at true scale"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add nothing: the page has no options."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter


def run(options: argparse.Namespace) -> int:
    """Print the page in the roff format."""
    from kiosk.commands.exit_codes import exit_codes
    from kiosk.commands.parser import parser_of_all

    try:
        from argparse_manpage.manpage import Manpage
    except ImportError as error:
        raise MissingPart(part="argparse-manpage", detail="it writes the manual page") from error
    page = Manpage(parser_of_all(), format="single-commands-section")
    page.description, page.source, page.manual = _SUMMARY, f"holdstill {__version__}", "Commands"
    codes = "".join(f".TP\n.B {code}\n{meaning}.\n" for code, meaning in exit_codes().items())
    page.add_section("exit status", "=", codes.rstrip("\n"))
    print(_NOT_A_REQUEST.sub(r"\\&", str(page)), end="")
    return EXIT_DONE
