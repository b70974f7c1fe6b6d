"""Check that a printer can print now, that its last ruler page is recent enough, and what is left of its ribbon."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from kiosk.core.view.finding import Finding
from kiosk.devices.base import PrinterStanding, Supply


def printer_findings(standings: Iterable[PrinterStanding], today: date) -> Iterator[Finding]:
    """Yield the findings on each printer; only if none of them can print is the booth kept closed."""
    known = list(standings)
    unfit = [standing for standing in known if standing.obstacle or standing.refusal]
    for standing in known:
        reason = standing.obstacle or standing.refusal
        yield Finding(
            "printer",
            standing.printer,
            "",
            not reason,
            reason or f"The printer {standing.printer} is ready to print on {standing.medium}.",
            standing.next_step,
            "printer",
            stops=len(unfit) == len(known),
        )
        if standing.measured_on is not None and standing.error is not None:
            yield _ruler(standing, standing.measured_on, standing.error, today)
        for supply in standing.supplies:
            yield _supply(standing.printer, supply)


def _ruler(standing: PrinterStanding, measured_on: date, error: float, today: date) -> Finding:
    return Finding(
        "ruler_page",
        (today - measured_on).days,
        "d",
        not standing.due,
        f"The last ruler page of {standing.printer} dates from {measured_on}; lengths were off by at most"
        f" {100 * error:.2f} %.",
        "Print a page with `holdstill ruler`, measure it, and record what the ruler reads.",
        "printer",
    )


def _supply(printer: str, supply: Supply) -> Finding:
    return Finding(
        "printer_supply",
        supply.percent,
        "%",
        not supply.is_low,
        f"{supply.name} of {printer} is at {supply.percent} %; from {supply.few_percent} % on it is low.",
        "Have the next one at hand, and change it before a busy hour.",
        "printer",
    )
