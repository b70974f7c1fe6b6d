"""The parser of the whole command line, from which the help, the manual page and the shells' completion are made."""

from __future__ import annotations

import argparse
import inspect
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path

from kiosk import __version__
from kiosk.commands.arguments import Parser, add_talk

COMMANDS = (
    "setup", "settings", "plan", "booth", "ready", "ruler", "colour", "ledger", "measure", "sheet", "print", "watch",
    "documents", "rules", "badge", "roster", "report", "voice", "completion", "manual",
)  # fmt: skip
"""Each is a module of `kiosk.commands`, in the order of the help."""


def parser_of_all(arguments: Sequence[str] | None = None) -> argparse.ArgumentParser:
    """Return the parser with all commands.

    Parameters
    ----------
    arguments
        A command line to be parsed: of the commands that it does not name, nothing but the summary is read, because
        each takes time to import. None for all of every command.
    """
    parser = Parser(
        prog="holdstill",
        description="Photograph a sitter until the identity photo conforms; print it at true scale.",
        epilog="The issuing authority decides whether a photo is accepted; its rules change.",
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    add_talk(parser)
    parsers = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    for name in COMMANDS:
        one = parsers.add_parser(name, help=_summary(name))
        if arguments is not None and name not in arguments:
            continue
        command = import_module(f"kiosk.commands.{name}")
        one.description = inspect.getdoc(command)
        command.add_arguments(one)
        add_talk(one, argparse.SUPPRESS)
        one.set_defaults(run=command.run)
    return parser


def _summary(name: str) -> str:
    """Return the first line of what a command's module says of it, without importing it."""
    with Path(__file__).with_name(f"{name}.py").open(encoding="utf-8") as source:
        return source.readline().strip().strip('"').rstrip(".")
