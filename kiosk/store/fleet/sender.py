"""The thread that sends a booth's facts to the office: in order, each exactly once, and after weeks if need be.

A fact stays in the booth's outbox until the office has confirmed it. What was sent and not confirmed is sent again, and
the office leaves out what it has, by booth, generation and number.
"""

from __future__ import annotations

import logging
import random
import threading
from collections.abc import Callable
from typing import Any, Protocol

from kiosk.errors import KioskError
from kiosk.store.fleet.office import BoothStanding, Office
from kiosk.system.clock import Clock

MOST_AT_ONCE, MORE = 500, 50
"""Facts of one transaction, some 100 kB. They are halved each time that one fails, because a slow link must also get
them across within the time that a transaction has, and are so many more after each that succeeds."""
LOOK_S = 15.0
"""How often the outbox is looked into."""
GREET_S = 300.0
"""How often a booth says how it stands even if nothing happened there."""
LONGEST_PAUSE_S = 300.0
"""The longest pause after repeated failures, of which each is twice as long as the one before."""
_END_S = 5.0
"""How long the booth waits at its end for what is being sent; the rest stays in the outbox."""

_log = logging.getLogger(__name__)


class UnsentFacts(Protocol):
    """The outbox of a booth's ledger."""

    def oldest_unsent(self, count: int) -> list[dict[str, Any]]:
        """Return up to `count` facts in order."""
        ...

    def remove_sent(self, facts: list[dict[str, Any]]) -> None:
        """Remove facts that the office has."""
        ...


class Sender:
    """Sends the facts of one booth until it is closed.

    Parameters
    ----------
    office
        The office's database.
    booth
        The booth's name there.
    outbox
        What is to be sent.
    standing
        Returns how the booth stands; it may take seconds.
    clock
        The booth's clock.
    look_s
        Seconds between looks into the outbox, and the first pause after a failure.
    """

    def __init__(
        self,
        office: Office,
        booth: str,
        outbox: UnsentFacts,
        standing: Callable[[], BoothStanding],
        clock: Clock,
        look_s: float = LOOK_S,
    ) -> None:
        self._office = office
        self._booth = booth
        self._outbox = outbox
        self._standing = standing
        self._clock = clock
        self._look_s = look_s
        self._pause_s = look_s
        self._most = MOST_AT_ONCE
        self._greeted_s: float | None = None
        self.trouble: KioskError | None = None
        """Why the office does not take facts at present, or None."""
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._work, name="office", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Stop sending."""
        self._closing.set()
        self._thread.join(_END_S)

    def _work(self) -> None:
        while not self._closing.is_set():
            try:
                is_more = self._send()
            except Exception as error:
                self._closing.wait(self._after(error))
            else:
                self.trouble, self._pause_s = None, self._look_s
                if not is_more:
                    self._closing.wait(self._look_s)

    def _send(self) -> bool:
        """Send the oldest facts, and return whether there may be more."""
        most = self._most
        facts = self._outbox.oldest_unsent(most)
        now_s = self._clock.now_s()
        is_due = self._greeted_s is None or now_s - self._greeted_s >= GREET_S
        if not facts and not is_due:
            return False
        self._office.take(self._booth, facts, self._standing() if is_due else None)
        self._greeted_s = now_s if is_due else self._greeted_s
        self._most = min(most + MORE, MOST_AT_ONCE)
        if facts:
            self._outbox.remove_sent(facts)
        return len(facts) == most

    def _after(self, error: Exception) -> float:
        """Note a failure, and return how long to wait: not as long as the other booths that lost the same server."""
        if not isinstance(error, KioskError):
            _log.error("facts were not sent", exc_info=error)
        elif self.trouble is None or str(self.trouble) != str(error):
            _log.warning("Facts are kept until the office takes them. %s", error)
        self.trouble = error if isinstance(error, KioskError) else KioskError(detail=type(error).__name__)
        self._most = max(1, self._most // 2)
        pause_s, self._pause_s = self._pause_s, min(2 * self._pause_s, LONGEST_PAUSE_S)
        return pause_s * random.uniform(0.5, 1.0)
