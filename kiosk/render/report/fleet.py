"""The report on several booths as text, as CSV and as an object for JSON."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from kiosk.core.session.business_report import Requirement
from kiosk.core.session.fleet_report import BoothFigures, Difference, Drift, FleetReport
from kiosk.i18n import Words
from kiosk.render.report.business import figures, trade_text

SILENT = timedelta(days=1)
"""After which a booth that was not heard of is reported; an open one is heard of every five minutes."""
_SHOWN = 12
"""The most lines of a list whose whole is in the CSV or JSON."""


def fleet_text(report: FleetReport) -> str:
    """Return the report as text for a terminal: all booths together, then what differs between them."""
    lines = [trade_text(report.total, report.who)]
    lines += _block("To refill", [f"{one.booth}: {one.what}, {one.left}{one.unit} left" for one in report.refills])
    lines += _block("Not heard of for a day", list(silent(report)))
    lines += _block("Which requirement fails where", [outlier_words(one) for one in report.outliers])
    lines += _block("What fails more than in the weeks before", [drift_words(one) for one in report.drifts])
    takings = [f"{day.isoformat()}  {amount:>12,.2f} {report.currency}" for day, amount in report.takings.items()]
    if takings:
        whole = f"{'in all':10}  {sum(report.takings.values()):>12,.2f} {report.currency}"
        lines += [
            "",
            "Takings; without a payment unit, at the prices of these settings",
            *(f"  {line}" for line in (*takings, whole)),
        ]
    lines += ["", f"{'sitters':>10} {'printed':>8} {'sheets':>8} {'shots':>6} {'min.':>5} {'faults':>6}  booth"]
    lines += [_booth(one) for one in report.booths]
    return "\n".join(lines)


def silent(report: FleetReport) -> Iterator[str]:
    """Yield the booths that were not heard of for a day, as sentences."""
    for one in report.booths:
        if report.asked_at - one.heard_at > SILENT:
            yield f"{one.booth}: last heard of {one.heard_at:%Y-%m-%d %H:%M} UTC; its facts are missing since"


def outlier_words(one: Difference) -> str:
    """Return a requirement that more shots miss at one booth than elsewhere, in words."""
    return f"{one.booth}: {_named(one)}, {one.share:.0%} of its shots do not pass, {one.usual:.0%} elsewhere"


def drift_words(one: Drift) -> str:
    """Return a requirement that more shots miss than before, in words, with each week's share."""
    weeks = " ".join(f"{week.share:.0%}" for week in one.weeks)
    return f"{one.booth}: {_named(one)}, {weeks} by week since {one.weeks[0].first.isoformat()}"


def fleet_csv(report: FleetReport) -> str:
    """Return the report as CSV (RFC 4180), with a row for each booth."""
    file = io.StringIO(newline="")
    table = csv.writer(file)
    names = sorted({name for one in report.booths for name in one.requirements})
    of_requirements = [f"{name}_{what}" for name in names for what in ("judged", "failed", "referred")]
    table.writerow([*_columns(report.booths[0]), *of_requirements])
    for one in report.booths:
        counts = [one.requirements.get(name, Requirement(name, 0, 0, 0)) for name in names]
        each = [number for count in counts for number in (count.judged, count.failed, count.referred)]
        table.writerow([*("" if value is None else value for value in _columns(one).values()), *each])
    return file.getvalue()


def fleet_json(report: FleetReport) -> dict[str, Any]:
    """Return the report as an object for JSON."""
    return {
        "who": report.who,
        "period": report.total.period.text,
        "sitters": report.total.sessions,
        "figures": figures(report.total),
        "requirements": [_counts(one) for one in report.total.requirements],
        "booths": [
            {**_columns(one), "requirements": [_counts(each) for each in one.requirements.values()]}
            for one in report.booths
        ],
        "days": [
            {
                "day": day.day.isoformat(),
                "sitters": day.sessions,
                "sheets_printed": day.sheets.get("printed", 0),
                "takings": str(report.takings[day.day]) if day.day in report.takings else None,
            }
            for day in report.total.days
        ],
        "currency": report.currency if report.takings else None,
        "refills": [
            {"booth": one.booth, "what": one.what, "left": one.left, "few": one.few, "unit": one.unit or "sheets"}
            for one in report.refills
        ],
        "outliers": [_difference(one) for one in report.outliers],
        "drifts": [
            {
                **_difference(one),
                "weeks": [
                    {"first": week.first.isoformat(), "judged": week.judged, "unfit": week.unfit} for week in one.weeks
                ],
            }
            for one in report.drifts
        ],
    }


def _columns(one: BoothFigures) -> dict[str, Any]:
    return {
        "booth": one.booth,
        "region": one.region,
        "heard_at": one.heard_at.isoformat(timespec="seconds"),
        "sitters": one.sitters,
        "printed": one.printed,
        "shots": one.shots,
        "sheets_printed": one.sheets,
        "median_minutes": None if one.median_minutes is None else round(one.median_minutes, 2),
        "faults": one.faults,
        "fault_minutes": round(one.fault_minutes, 1),
        "takings": None if one.takings is None else str(one.takings),
    }


def _counts(one: Requirement) -> dict[str, Any]:
    return {"name": one.name, "judged": one.judged, "failed": one.failed, "referred": one.referred}


def _difference(one: Difference) -> dict[str, Any]:
    return {"booth": one.booth, "requirement": one.requirement, "share": one.share, "usual": one.usual}


def _named(one: Difference) -> str:
    return Words.load("en").tr(f"requirement.{one.requirement}").lower()


def _booth(one: BoothFigures) -> str:
    printed = f"{one.printed / one.sitters:.0%}" if one.sitters else "–"
    shots = f"{one.shots / one.sitters:.1f}" if one.sitters else "–"
    minutes = "–" if one.median_minutes is None else f"{one.median_minutes:.1f}"
    where = f" ({one.region})" if one.region else ""
    return (
        f"{one.sitters:>10,} {printed:>8} {one.sheets:>8,} {shots:>6} {minutes:>5} {one.faults:>6}  {one.booth}{where}"
    )


def _block(heading: str, lines: list[str]) -> list[str]:
    more = [f"… and {len(lines) - _SHOWN} more"] if len(lines) > _SHOWN else []
    return ["", heading, *(f"  {line}" for line in (*lines[:_SHOWN], *more))] if lines else []
