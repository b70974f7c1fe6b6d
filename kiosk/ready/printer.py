"""The printer: whether it could print now, and what its last ruler page said of its scale."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from kiosk.core.view.finding import Finding
from kiosk.devices.base import PrinterStanding


def printer_findings(standings: Iterable[PrinterStanding], today: date) -> Iterator[Finding]:
    """Yield how each printer stands; with two of them, one alone that cannot print only warns."""
    known = list(standings)
    unfit = [standing for standing in known if standing.obstacle or standing.refusal]
    for standing in known:
        reason = standing.obstacle or standing.refusal
        yield Finding(
            "printer",
            standing.printer,
            "",
            not reason,
            reason or f"The printer {standing.printer} could print on {standing.medium} now.",
            standing.next_step,
            "printer",
            stops=len(unfit) == len(known),
        )
        if standing.measured_on is not None and standing.error is not None:
            yield _ruler(standing, standing.measured_on, standing.error, today)


def _ruler(standing: PrinterStanding, measured_on: date, error: float, today: date) -> Finding:
    return Finding(
        "ruler_page",
        (today - measured_on).days,
        "d",
        not standing.due,
        f"The last ruler page of {standing.printer} is of {measured_on}; a length was at most {100 * error:.2f} % off.",
        "Print a page with `holdstill ruler`, measure it, and record what the ruler reads.",
        "printer",
    )
