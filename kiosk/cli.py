"""The command `holdstill`: one handler turns every error into a sentence, a next step and an exit code.

Exit code 0 means done and, for `measure`, conforming; 1 measured but not conforming; 2 a wrong command line; any other
code is that of an error in `kiosk.errors`. Results go to standard output, messages to standard error.

Only what Python has loaded by itself is imported at the top, so that Ctrl-C is answered from the first moment on.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse
    from collections.abc import Sequence

COMMANDS = (
    "setup", "booth", "ready", "ruler", "ledger", "measure", "sheet", "print", "documents", "badge", "roster", "report",
    "voice",
)  # fmt: skip
"""Each is a module of `kiosk.commands`, in the order of the help."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    try:
        return _run(arguments)
    except KeyboardInterrupt:
        from kiosk.commands.output import complain
        from kiosk.errors import Interrupted

        return complain(Interrupted())


def _run(arguments: Sequence[str] | None) -> int:
    import logging

    from kiosk.commands.output import complain, hush
    from kiosk.commands.streams import standard_streams
    from kiosk.errors import KioskError, ResultsUnread

    try:
        with standard_streams():
            options = parser_of_all().parse_args(arguments)
            hush(options.quiet)
            logging.basicConfig(
                level=logging.INFO if options.verbose else logging.WARNING,
                format="%(asctime)s %(name)s: %(message)s",
                stream=sys.stderr,
            )
            code: int = options.run(options)
            return code
    except ResultsUnread as unread:
        return unread.exit_code
    except KioskError as error:
        return complain(error)
    except Exception as error:
        logging.getLogger(__name__).info("traceback of the error", exc_info=True)
        return complain(KioskError(detail=_kind_and_place(error)))


def _kind_and_place(error: Exception) -> str:
    """Return the type and place of an unexpected error, but not its message, which may contain somebody's name."""
    import traceback
    from pathlib import Path

    *_, frame = traceback.extract_tb(error.__traceback__)
    return f"{type(error).__name__} at {Path(frame.filename).name}:{frame.lineno}; --verbose shows the traceback"


def parser_of_all() -> argparse.ArgumentParser:
    """Return the parser with all commands."""
    import argparse
    from importlib import import_module

    from kiosk import __version__
    from kiosk.commands.arguments import Parser, add_talk

    parser = Parser(
        prog="holdstill",
        description="Photograph a sitter until the identity photo conforms; print it at true scale.",
        epilog="The issuing authority decides whether a photo is accepted; its rules change.",
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    add_talk(parser)
    parsers = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    for name in COMMANDS:
        command = import_module(f"kiosk.commands.{name}")
        summary = (command.__doc__ or "").splitlines()[0]
        one = parsers.add_parser(name, help=summary.rstrip("."), description=command.__doc__)
        command.add_arguments(one)
        add_talk(one, argparse.SUPPRESS)
        one.set_defaults(run=command.run)
    return parser


if __name__ == "__main__":
    sys.exit(main())
