"""A sitter's looks and touches without a face and a screen: the vision finds what is wanted, and notes whom it saw."""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.session.state import Session
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from tests.support.marked_pictures import Mark, Pixels, mark_in
from tests.support.sights import DOCUMENT, conforming, seen


@dataclass
class Sights:
    """What a sitter shows who sits well, and whose stills pass mostly; it notes whom it has seen.

    Attributes
    ----------
    live, measured
        The marks of the live pictures and of the stills since they were emptied.
    """

    chance: random.Random
    live: set[Mark] = field(default_factory=set)
    measured: set[Mark] = field(default_factory=set)

    def observe(self, rgb: Pixels) -> Observation:
        """Look at a live picture."""
        self.live.add(mark_in(rgb))
        return seen()

    def measure(self, rgb: Pixels, _: float | None = None) -> Observation:
        """Measure a still."""
        self.measured.add(mark_in(rgb))
        if self.chance.random() < 0.15:
            return conforming(DOCUMENT, yaw=Measurement("yaw", None, "deg"))
        return conforming(DOCUMENT)


class SilentScreen:
    """A screen that shows nothing, and whose sitter touches what a test says."""

    closed = False

    def __init__(self) -> None:
        self.touched: list[Intent] = []
        self.view = SessionView()

    def intents(self) -> list[Intent]:
        """Return what was touched."""
        touched, self.touched = self.touched, []
        return touched

    def show(self, view: SessionView, _: object) -> None:
        """Keep what is shown."""
        self.view = view


def left_in(session: Session) -> list[str]:
    """Return what a session has of a sitter, of whom it may have nothing."""
    return [name for name in ("still", "last_photo") if getattr(session, name)]
