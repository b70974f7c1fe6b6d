"""Check that a printer can print now, that its last pages were measured lately, and what is left of its ribbon."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from kiosk.core.view.finding import Finding
from kiosk.devices.base import ColourStanding, PrinterStanding, Supply

LEAST_EDGE_MM = 2.0
"""What a printer without borders may lose at an edge: it sprays up to 1.8 mm over a 4 x 6 in sheet (105 x 156 mm in the
output of Gutenprint's driver of a dye-sublimation printer, measured), and feeds the sheet a little askew."""


def printer_findings(standings: Iterable[PrinterStanding], today: date) -> Iterator[Finding]:
    """Yield the findings on each printer; the booth is kept closed if there is a paper that none of them can print on.

    Every paper is offered, so that a sitter could choose that one (`devices/printer/by_paper.py`).
    """
    known = list(standings)
    papers = {standing.medium for standing in known}
    printable = {standing.medium for standing in known if not (standing.obstacle or standing.refusal)}
    for standing in known:
        reason, stops = standing.obstacle or standing.refusal, standing.medium not in printable
        if stops and len(papers) > 1:
            reason = f"{reason} Nothing can be printed on {standing.medium}."
        yield Finding(
            "printer",
            standing.printer,
            "",
            not reason,
            reason or f"The printer {standing.printer} is ready to print on {standing.medium}.",
            standing.next_step,
            "printer",
            stops=stops,
        )
        if standing.measured_on is not None and standing.error is not None:
            yield _ruler(standing, standing.measured_on, standing.error, today)
        if standing.colour is not None:
            yield _colour(standing.printer, standing.colour, today)
        if standing.edge_mm is not None:
            yield _edge(standing.printer, standing.edge_mm)
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


def _colour(printer: str, colour: ColourStanding, today: date) -> Finding:
    moved = "" if colour.drift is None else f", and one had moved by {colour.drift:.1f} since the page before"
    why = f" It is no proof: {colour.refusal}." if colour.refusal else ""
    return Finding(
        "colour_page",
        (today - colour.measured_on).days,
        "d",
        not (colour.due or colour.refusal),
        f"The last colour page of {printer} dates from {colour.measured_on}; greys were at most {colour.cast:.1f} off "
        f"neutral and {colour.tone:.1f} off in L*{moved}.{why}",
        "Print a page with `holdstill colour`, and photograph it beside a grey card.",
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


def _edge(printer: str, edge_mm: float) -> Finding:
    place = f"keeps {edge_mm:.1f} mm from" if edge_mm >= 0 else f"reaches {-edge_mm:.1f} mm over"
    return Finding(
        "edge_distance",
        edge_mm,
        "mm",
        edge_mm >= LEAST_EDGE_MM,
        f"A sheet of {printer} {place} the edge of a paper without borders, where up to "
        f"{LEAST_EDGE_MM:g} mm may be lost.",
        f"Widen margins_mm by {max(LEAST_EDGE_MM - edge_mm, 0.0):.1f} mm or more; a badge may reach over the edge.",
        "printer",
    )
