"""What every error has: a key, an exit code, one sentence and a next step.

`Recoverable` errors go away by trying again; `NeedsAttendant` errors wait for a person. An expected "no"
(a photo that does not conform) is a value, never an exception.
"""

from __future__ import annotations

from typing import ClassVar

EXIT_DONE = 0
EXIT_NOT_CONFORMING = 1
EXIT_USAGE = 2
EXIT_ENDED = 90
"""The attendant has ended the booth: whatever keeps it running lets it rest."""


class KioskError(Exception):
    """Base of all errors of this project.

    Parameters are the placeholders of `sentence` and `next_step`, kept in `params` for translation.
    """

    key: ClassVar[str] = "internal_error"
    exit_code: ClassVar[int] = 70
    sentence: ClassVar[str] = "Something went wrong inside the program: {detail}."
    next_step: ClassVar[str] = "Start it again; if it happens twice, report it with the log."

    def __init__(self, **params: object) -> None:
        self.params = params
        super().__init__(self.sentence.format(**params))

    def __reduce__(self) -> tuple[object, ...]:
        return _rebuild, (type(self), self.params)

    @property
    def advice(self) -> str:
        """The next step, with its placeholders filled."""
        return self.next_step.format(**self.params)


def _rebuild(kind: type[KioskError], params: dict[str, object]) -> KioskError:
    return kind(**params)


class Recoverable(KioskError):
    """Goes away by trying again."""


class NeedsAttendant(KioskError):
    """Waits for a person."""


class BadInput(KioskError):
    """What the user gave cannot be used."""


def all_errors() -> list[type[KioskError]]:
    """Return every concrete error class, the source of the exit-code table."""
    found: list[type[KioskError]] = []
    queue: list[type[KioskError]] = [KioskError]
    while queue:
        kind = queue.pop(0)
        queue.extend(kind.__subclasses__())
        if kind is KioskError or "key" in vars(kind):
            found.append(kind)
    return sorted(found, key=lambda kind: (kind.exit_code, kind.key))


def os_reason(error: OSError) -> str:
    """Return why the operating system refused something, in words that can stand inside a sentence."""
    return (error.strerror or str(error) or "unknown reason").lower()
