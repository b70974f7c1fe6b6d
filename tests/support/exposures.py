"""Which stills a body has taken, of whom, and which of them somebody had ordered."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from kiosk.devices.camera.body_clock import TOLERANCE_S
from tests.support.marked_pictures import NUMBERS

_MOMENT_S = TOLERANCE_S + 1.0
"""As the pictures' times are whole seconds."""


@dataclass
class Exposure:
    """What a picture of the body is: who sat there, whether the booth had ordered it, and whether just then.

    One that the button takes in an ordered shot or just before it, when the shot's own picture comes late, nobody can
    tell from that: it is the same sitter's, of the same moment.
    """

    sitter: int
    taken_s: float
    is_of_an_order: bool


class Exposures:
    """Every still that a body has taken.

    Parameters
    ----------
    now_s
        The time.

    Attributes
    ----------
    known
        The stills by the number in their marks.
    """

    def __init__(self, now_s: Callable[[], float]) -> None:
        self._now_s = now_s
        self._numbers = itertools.count(1)
        self.known: dict[int, Exposure] = {}
        self._is_in_shot = False

    def take(self, sitter: int) -> int:
        """Take a still of a sitter, and return its number; one that is long past gives its number up."""
        number = next(self._numbers) % (NUMBERS - 1) + 1
        self.known[number] = Exposure(sitter, self._now_s(), self._is_in_shot)
        return number

    @contextlib.contextmanager
    def shot(self) -> Iterator[None]:
        """Have one still ordered meanwhile; those taken just before are of its moment."""
        for exposure in self.known.values():
            exposure.is_of_an_order |= exposure.taken_s > self._now_s() - _MOMENT_S
        self._is_in_shot = True
        try:
            yield
        finally:
            self._is_in_shot = False
