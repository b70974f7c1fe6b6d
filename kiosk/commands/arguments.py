"""What all commands share of their command lines: how much is said, and files whose names must end in their format."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

from kiosk.errors import shown

_VALUES = {"float": "a number", "int": "a whole number", "fromisoformat": "a day such as 2026-11-25"}
_INVALID = re.compile(rf"invalid ({'|'.join(_VALUES)}) value: (.*)", re.DOTALL)
"""How argparse names a value that a function of Python does not take (its source, `_get_value`)."""


class Parser(argparse.ArgumentParser):
    """A parser that says in words what is wrong, and shows control characters instead of sending them to a terminal."""

    def error(self, message: str) -> NoReturn:
        """Print the usage and the fault, and leave with 2."""
        super().error(shown(_INVALID.sub(lambda found: f"{found[2]} is not {_VALUES[found[1]]}", message)))


def add_talk(parser: argparse.ArgumentParser, default: bool | str = False) -> None:
    """Add the options for how much is said on standard error.

    Parameters
    ----------
    default
        `argparse.SUPPRESS` for a command, which must not undo what stands before its name.
    """
    talk = parser.add_mutually_exclusive_group()
    for names, words in (
        (("-v", "--verbose"), "log to standard error what happens"),
        (("-q", "--quiet"), "print results and errors only, and no advice"),
    ):
        talk.add_argument(*names, action="store_true", default=default, help=words)


def file_in(*suffixes: str) -> Callable[[str], Path]:
    """Return the reader of a file's name that must end in one of these, in any letter case."""

    def read(text: str) -> Path:
        path = Path(text)
        if path.suffix.lower() not in suffixes:
            raise argparse.ArgumentTypeError(f"{path.name!r} does not end in {' or '.join(suffixes)}")
        return path

    return read


def whole_number(least: int, most: int) -> Callable[[str], int]:
    """Return the reader of a whole number in a range."""

    def read(text: str) -> int:
        if not (text.isascii() and text.isdecimal() and least <= int(text) <= most):
            raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from {least} to {most}")
        return int(text)

    return read


def number_above(least: float) -> Callable[[str], float]:
    """Return the reader of a finite number greater than `least`."""

    def read(text: str) -> float:
        try:
            number = float(text)
        except ValueError:
            raise argparse.ArgumentTypeError(f"{text!r} is not a number") from None
        if not least < number < float("inf"):
            raise argparse.ArgumentTypeError(f"{text!r} is not a number above {least:g}")
        return number

    return read
