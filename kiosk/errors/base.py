"""The base of all errors: a key, an exit code, a sentence and a next step.

`Recoverable` errors can be resolved by trying again; `NeedsAttendant` errors need a person. An expected "no"
(a photo that does not conform) is a value and never an exception.
"""

from __future__ import annotations

import re
from typing import ClassVar

EXIT_DONE = 0
EXIT_NOT_CONFORMING = 1
EXIT_USAGE = 2
EXIT_ENDED = 90
"""The exit code after the attendant has ended the booth; the service manager must not restart it."""
_UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")
"""The control characters, breaks of lines and paragraphs, turns of the direction of writing, and what stands for a byte
of a name that is no UTF-8 (Unicode 15, general categories Cc, Zl, Zp and Cs; Standard Annex 9, table 4)."""


def shown(text: object) -> str:
    r"""Return a text, such as a file's name, on one line, with `\n` or `\x1b` for what a terminal would obey."""
    return _UNPRINTABLE.sub(lambda found: found[0].encode("unicode_escape").decode(), str(text))


class KioskError(Exception):
    """Base of all errors of this project.

    The keyword arguments fill the placeholders of `sentence` and `next_step`, and are kept in `params`.
    """

    key: ClassVar[str] = "internal_error"
    exit_code: ClassVar[int] = 70
    sentence: ClassVar[str] = "Something went wrong inside the program: {detail}."
    next_step: ClassVar[str] = "Start the program again; if it happens twice, report it with the log."

    def __init__(self, **params: object) -> None:
        self.params = params
        super().__init__(shown(self.sentence.format(**params)))

    def __reduce__(self) -> tuple[object, ...]:
        return _rebuild, (type(self), self.params)

    @property
    def advice(self) -> str:
        """The next step, with its placeholders filled."""
        return shown(self.next_step.format(**self.params))


def _rebuild(kind: type[KioskError], params: dict[str, object]) -> KioskError:
    return kind(**params)


class Recoverable(KioskError):
    """An error that trying again can resolve."""


class NeedsAttendant(KioskError):
    """An error that needs a person."""


class BadInput(KioskError):
    """The user's input cannot be used."""


def all_errors() -> list[type[KioskError]]:
    """Return all concrete error classes, from which the table of exit codes is generated."""
    found: list[type[KioskError]] = []
    queue: list[type[KioskError]] = [KioskError]
    while queue:
        kind = queue.pop(0)
        queue.extend(kind.__subclasses__())
        if kind is KioskError or "key" in vars(kind):
            found.append(kind)
    return sorted(found, key=lambda kind: (kind.exit_code, kind.key))


def os_reason(error: OSError) -> str:
    """Return the operating system's reason for an error, in words that fit into a sentence."""
    return (error.strerror or str(error) or "unknown reason").lower()
