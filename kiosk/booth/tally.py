"""Counts for a monitoring server, taken from the facts on their way to the ledger."""

from __future__ import annotations

from collections import Counter

from kiosk.core.base.decision import Word
from kiosk.core.session.facts import (
    Fact,
    FaultBegan,
    FaultsMended,
    Ledger,
    SessionEnded,
    SheetEnded,
    ShotJudged,
    ShotLost,
)
from kiosk.core.view.metrics import Counts


class Tally:
    """The ledger of the frame loop, which also counts; for that loop's thread alone.

    Parameters
    ----------
    ledger
        Gets every fact.

    Attributes
    ----------
    frames, pictures
        The loop's turns, and the live pictures that were looked at; the loop counts them.
    """

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger
        self.frames = self.pictures = 0
        self._sessions: Counter[str] = Counter()
        self._shots: Counter[str] = Counter()
        self._sheets: Counter[str] = Counter()
        self._words: Counter[tuple[str, Word]] = Counter()
        self._faults: Counter[str] = Counter()
        self._standing: set[str] = set()

    @property
    def trouble_in_words(self) -> str:
        """Why facts cannot be written, for the attendant; empty while all is well."""
        return self._ledger.trouble_in_words

    @property
    def unsent_count(self) -> int:
        """How many facts wait for the office's database."""
        return self._ledger.unsent_count

    def put(self, fact: Fact) -> None:
        """Count a fact and pass it on."""
        match fact:
            case SessionEnded(ending):
                self._sessions[ending] += 1
            case ShotJudged(verdict=verdict, words=words):
                self._shots[verdict] += 1
                self._words.update(words)
            case ShotLost():
                self._shots["lost"] += 1
            case SheetEnded(end=end):
                self._sheets[end] += 1
            case FaultBegan(key):
                self._faults[key] += 1
                self._standing.add(key)
            case FaultsMended():
                self._standing.clear()
        self._ledger.put(fact)

    def counts(self) -> Counts:
        """Return what has been counted up to now."""
        return Counts(
            self.frames,
            self.pictures,
            dict(self._sessions),
            dict(self._shots),
            dict(self._sheets),
            dict(self._words),
            dict(self._faults),
            frozenset(self._standing),
        )
