"""Tables for a spreadsheet, and the result of `measure` as one."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Any

from kiosk.render.report.plain_words import requirement

COLUMNS = (
    "photo",
    "document",
    "verdict",
    "not met",
    "to be judged",
    "head height mm",
    "eye line mm",
    "pixels per inch",
    "reason",
    "remarks",
)
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet program takes for the beginning of a formula (practice)."""


def measured_csv(objects: Iterable[Mapping[str, Any]]) -> str:
    """Return the objects of `measure --json` as CSV with a row for each, under `COLUMNS`."""
    return csv_text(COLUMNS, (_cells(data) for data in objects))


def csv_text(columns: Iterable[str], rows: Iterable[Iterable[object]]) -> str:
    """Return a table as CSV (RFC 4180).

    A text that a spreadsheet program would take for a formula gets an apostrophe before it.
    """
    file = io.StringIO(newline="")
    table = csv.writer(file)
    table.writerow(columns)
    table.writerows([_safe(cell) for cell in row] for row in rows)
    return file.getvalue()


def _cells(data: Mapping[str, Any]) -> Iterable[object]:
    findings = data["measurements"]
    values = {finding["name"]: finding["value"] for finding in findings}
    lengths = data["print_mm"] or {}
    by_word = [
        "; ".join(requirement(each["name"]) for each in findings if each["verdict"] in words)
        for words in (("fail",), ("refer", "unmeasured"))
    ]
    yield from (data["photo"], data["document"], data["verdict"], *by_word)
    yield from (lengths.get("head_height"), lengths.get("eye_line_from_bottom"), values.get("resolution"))
    yield from (data["reason"], " ".join(data["remarks"]))


def _safe(cell: object) -> object:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA) else cell
