"""Check that the ledger can be read, and that no damaged one is waiting for a person to look into it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from kiosk.core.session.business_report import Period
from kiosk.core.view.finding import Finding
from kiosk.errors import LedgerFault
from kiosk.settings import Settings
from kiosk.store.ledger.file import damaged
from kiosk.store.ledger.reading import read_trade


def ledger_findings(settings: Settings, today: date) -> Iterator[Finding]:
    """Yield the findings on the ledger; none of them keeps the booth closed."""
    path = settings.ledger_file
    if not path.exists():
        yield _finding("none", True, "There is no ledger yet; the booth will start one.")
        return
    try:
        trade = read_trade(path, Period.parse(today.isoformat()))
    except LedgerFault as fault:
        yield _finding(fault.key, False, str(fault), fault.advice)
    else:
        yield _finding("read", True, f"The ledger counts {trade.sessions} sitters today.")
    for kept in damaged(path):
        advice = (
            "Read it with `holdstill ledger PERIOD --file`, or SQLite's `.recover`; then move it out of the folder."
        )
        yield _finding("set aside", False, f"A damaged ledger was set aside as {kept}.", advice)


def _finding(value: str, good: bool, sentence: str, next_step: str = "") -> Finding:
    return Finding("ledger", value, "", good, sentence, next_step, "machine")
