"""The parser of the whole command line, from which the help, the manual page and the shells' completion are made."""

from __future__ import annotations

import argparse
from importlib import import_module

from kiosk import __version__
from kiosk.commands.arguments import Parser, add_talk

COMMANDS = (
    "setup", "booth", "ready", "ruler", "colour", "ledger", "measure", "sheet", "print", "watch", "documents", "rules",
    "badge", "roster", "report", "voice", "completion", "manual",
)  # fmt: skip
"""Each is a module of `kiosk.commands`, in the order of the help."""


def parser_of_all() -> argparse.ArgumentParser:
    """Return the parser with all commands."""
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
