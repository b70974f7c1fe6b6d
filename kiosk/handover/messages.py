"""What the booth and the process that has the file say to each other.

The booth's own messages are pickled. What comes from the process, which talks with strangers, is one of a few words.
"""

from __future__ import annotations

import pickle
from dataclasses import dataclass, field
from pathlib import Path
from typing import cast, get_args

from kiosk.core.session.events import FileSaid


@dataclass(frozen=True, slots=True)
class Hold:
    """Booth: what the process has; the first message to it.

    Attributes
    ----------
    name
        The name of the file, without an ending: it says nothing of the sitter.
    keep_s
        How long it is kept once a way was chosen; until then, `UNCHOSEN_S` longer.
    sticks
        Which mount points are those of USB sticks, as a pattern of `fnmatch`; empty where no stick is taken.
    certificate, key
        PEM files; None serves plain HTTP.
    """

    name: str
    keep_s: float
    sticks: str = ""
    certificate: Path | None = None
    key: Path | None = None


UNCHOSEN_S = 120.0
"""How much longer a file is kept while its sitter has not chosen a way: the screens before ask twice, 45 s each."""


@dataclass(frozen=True, slots=True)
class ToPhone:
    """Booth: give the file to whoever asks for this code, and speak that language."""

    code: str = field(repr=False)
    language: str


@dataclass(frozen=True, slots=True)
class ToStick:
    """Booth: write the file to the next stick that is plugged in."""


FromBooth = Hold | ToPhone | ToStick
_SAID = frozenset(get_args(get_args(FileSaid)[0]) + get_args(get_args(FileSaid)[1]))


def to_process(message: FromBooth) -> bytes:
    """Return a message of the booth as bytes."""
    return pickle.dumps(message)


def from_booth(received: bytes) -> FromBooth:
    """Return a message of the booth, which started this process and is trusted by it."""
    return cast("FromBooth", pickle.loads(received))


def said(received: bytes) -> FileSaid:
    """Return what the process says of the file.

    Raises
    ------
    ValueError
        It says what nobody says.
    """
    word = received.decode("ascii")
    if word not in _SAID:
        raise ValueError(word)
    return cast("FileSaid", word)
