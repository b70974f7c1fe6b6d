"""Check the office's database: whether it takes this booth's facts, and how many wait for it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from kiosk.core.view.finding import Finding
from kiosk.errors import KioskError, LedgerFault
from kiosk.settings import Settings
from kiosk.store.fleet.office import Office
from kiosk.store.ledger.outbox import Unsent
from kiosk.store.ledger.reading import read_unsent

LONGEST = timedelta(days=1)
"""After which facts that wait are warned of: a network that is away for a night is nobody's concern (own choice)."""


def office_findings(settings: Settings, now: datetime) -> Iterator[Finding]:
    """Yield the findings on the office's database if the settings name one; none keeps the booth closed."""
    if not settings.ledger.database:
        return
    yield _reached(settings.ledger.database, settings.booth.name)
    if settings.ledger_file.exists():
        try:
            waiting = read_unsent(settings.ledger_file)
        except LedgerFault:
            return  # the ledger's own findings say so
        yield _waiting(waiting, now)


def _reached(url: str, booth: str) -> Finding:
    try:
        Office(url).check(booth)
    except KioskError as error:
        return Finding("office", "no answer", "", False, str(error), error.advice, "machine")
    return Finding("office", "reached", "", True, "The office's database takes the booth's facts.", subject="machine")


def _waiting(waiting: Unsent, now: datetime) -> Finding:
    if waiting.since is None:
        sentence = "The office's database has all facts of the booth."
    else:
        since = waiting.since.astimezone(now.tzinfo)
        sentence = f"{waiting.count} facts wait for the office's database, the oldest since {since:%Y-%m-%d %H:%M}."
    return Finding(
        "facts_unsent",
        waiting.count,
        "count",
        waiting.since is None or now - waiting.since < LONGEST,
        sentence,
        "Nothing is lost: the booth sends them when it reaches the database. Check its network.",
        "machine",
    )
