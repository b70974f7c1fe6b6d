"""The command `holdstill`: one handler turns every error into a sentence, a next step and an exit code.

Exit code 0 means done and, for `measure`, conforming; 1 measured but not conforming; 2 a wrong command line; any other
code is that of an error in `kiosk.errors`. Results go to standard output, messages to standard error.
"""

from __future__ import annotations

import argparse
import logging
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path

from kiosk import __version__
from kiosk.commands import badge, booth, documents, ledger, measure, ready, report, roster, ruler, setup, sheet, voice
from kiosk.commands.output import complain
from kiosk.errors import EXIT_DONE, KioskError

COMMANDS = (setup, booth, ready, ruler, ledger, measure, sheet, documents, badge, roster, report, voice)
_INTERRUPTED = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    options = parser_of_all().parse_args(arguments)
    logging.basicConfig(
        level=logging.INFO if options.verbose else logging.WARNING,
        format="%(asctime)s %(name)s: %(message)s",
        stream=sys.stderr,
    )
    try:
        code: int = options.run(options)
        sys.stdout.flush()
    except KioskError as error:
        return complain(error)
    except KeyboardInterrupt:
        return _INTERRUPTED
    except BrokenPipeError:
        sys.stderr.close()
        return EXIT_DONE
    except Exception as error:
        logging.getLogger(__name__).info("traceback of the error", exc_info=True)
        return complain(KioskError(detail=_kind_and_place(error)))
    return code


def _kind_and_place(error: Exception) -> str:
    """Return the type and place of an unexpected error, but not its message, which may contain somebody's name."""
    *_, frame = traceback.extract_tb(error.__traceback__)
    return f"{type(error).__name__} at {Path(frame.filename).name}:{frame.lineno}; --verbose shows the traceback"


def parser_of_all() -> argparse.ArgumentParser:
    """Return the parser with all commands."""
    parser = argparse.ArgumentParser(
        prog="holdstill",
        description="Photograph a sitter until the identity photo conforms; print it at true scale.",
        epilog="The issuing authority decides whether a photo is accepted; its rules change.",
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    parser.add_argument("-v", "--verbose", action="store_true", help="log to standard error what happens")
    parsers = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    for command in COMMANDS:
        name = command.__name__.rsplit(".", 1)[-1]
        summary = (command.__doc__ or "").splitlines()[0]
        one = parsers.add_parser(name, help=summary.rstrip("."), description=command.__doc__)
        command.add_arguments(one)
        one.set_defaults(run=command.run)
    return parser


if __name__ == "__main__":
    sys.exit(main())
