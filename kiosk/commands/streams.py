"""The standard streams as a shell hands them over: closed, full, or in an encoding that lacks letters."""

from __future__ import annotations

import codecs
import io
import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TextIO

from kiosk.errors import ResultsRefused, ResultsUnread, os_reason

_ESCAPED = "holdstill.escaped"
_LAST_STREAM = 2
"""The file descriptor of standard error (POSIX, `STDERR_FILENO`)."""


def _escape(error: UnicodeError) -> tuple[str, int]:
    r"""Return the letters that an encoding lacks as `\u00e9`, which stands for the same letter in a JSON string."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return json.dumps(error.object[error.start : error.end])[1:-1], error.end


codecs.register_error(_ESCAPED, _escape)


class _Results(io.TextIOWrapper):
    """Standard output, which says of itself that it takes nothing any more: its errors look like those of a file.

    Each line is written at once, so that results arrive while others are made, and stand in a log where they belong.
    """

    def write(self, text: str) -> int:
        """Write a text, and what the buffer holds with the end of a line."""
        with self._refusing():
            return super().write(text)

    def flush(self) -> None:
        """Write what the buffer has held back."""
        with self._refusing():
            super().flush()

    @contextmanager
    def _refusing(self) -> Iterator[None]:
        try:
            yield
        except BrokenPipeError as error:
            silence(self)
            raise ResultsUnread from error
        except OSError as error:
            silence(self)
            raise ResultsRefused(detail=os_reason(error)) from error


@contextmanager
def standard_streams() -> Iterator[None]:
    """Make the standard streams fit to use, and see at the end that standard output has taken everything.

    Raises
    ------
    ResultsRefused
        Standard output is closed, or its disk is full.
    ResultsUnread
        The program at the other end of its pipe has ended.
    """
    _open_closed()
    given = sys.stdout
    if given is None:
        raise ResultsRefused(detail="it is closed")
    if type(given) is not io.TextIOWrapper:
        yield
        return
    results = _Results(given.buffer, given.encoding, _ESCAPED, line_buffering=True)
    sys.stdout = results
    try:
        yield
    finally:
        sys.stdout = given
        try:
            results.flush()
        finally:
            results.detach()


def silence(stream: TextIO) -> None:
    """Send what a broken stream still holds, and whatever follows, to nowhere: Python would fail on it at its end."""
    with suppress(OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def _open_closed() -> None:
    """Put nothing in the place of closed streams, which the next file to be opened would take.

    Libraries write to descriptor 2; in its place a sheet would be written full of their messages.
    """
    if None not in (sys.stdin, sys.stdout, sys.stderr):
        return
    while (descriptor := os.open(os.devnull, os.O_RDWR)) <= _LAST_STREAM:
        pass
    os.close(descriptor)
    sys.stdin = sys.stdin or open(0, closefd=False)  # noqa: SIM115
    sys.stderr = sys.stderr or open(2, "w", closefd=False)  # noqa: SIM115
