"""The result of `measure` as a JSON object, in plain words and as a table."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from kiosk.core.base.geometry import Point, Rect
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Assessment, Judgement
from kiosk.errors import KioskError
from kiosk.render.report.plain_words import WORDS, asked_text, doubts, faults, headline, measured_number, requirement

_POINTS = ("crown", "hair_top", "chin", "right_eye", "left_eye")
_DECIMALS = 4


_NEXT = {
    "pass": "Next: make the print or the file to upload with `holdstill sheet`.",
    "fail": "Next: take the photo again and measure it again.",
    "refer": "Next: a person looks at these points and decides.",
    "unmeasurable": "Next: take the photo again.",
}


def measured_json(photo: Path, judgement: Judgement, remarks: Sequence[str] = ()) -> dict[str, Any]:
    """Return the object that `measure --json` prints for one photo; values that were not measured are null.

    Parameters
    ----------
    remarks
        What is to be said about the file and the document, beside the judgement.
    """
    points, plan = judgement.observation.points, judgement.plan
    return {
        "photo": str(photo),
        "document": judgement.document_id,
        "verdict": judgement.verdict,
        "reason": "",
        "remarks": list(remarks),
        "points_px": None if points is None else {name: _place(getattr(points, name)) for name in _POINTS},
        "measurements": [_measurement(finding) for finding in judgement.findings],
        "crop_px": None if plan is None else _frame(plan.rect_px),
        "print_mm": None
        if plan is None
        else {
            "head_height": _rounded(plan.measurements["head_size"].value),
            "eye_line_from_bottom": _rounded(plan.measurements["eye_line"].value),
        },
    }


def unmeasurable_json(photo: Path, document: Document, error: KioskError | None = None) -> dict[str, Any]:
    """Return the object for a photo that could not be measured; its `reason` is what the error says."""
    return {
        "photo": str(photo),
        "document": document.id,
        "verdict": "unmeasurable",
        "reason": "" if error is None else str(error),
        "remarks": [],
        "points_px": None,
        "measurements": [],
        "crop_px": None,
        "print_mm": None,
    }


def measured_text(photo: str, judgement: Judgement, document: Document, remarks: Sequence[str] = ()) -> str:
    """Return the verdict, what is wrong first, what to do next, and one line for the rest."""
    lines = [*faults(judgement, document), *doubts(judgement), *remarks, _NEXT[judgement.verdict]]
    met, seen = (sum(finding.word == word for finding in judgement.findings) for word in ("pass", "advise"))
    rest = f"{met} of {len(judgement.findings)} requirements are met"
    by_eye = f", {seen} {'is' if seen == 1 else 'are'} for your own eye" if seen else ""
    lines.append(f"{rest}{by_eye}; --all shows each of them.")
    return "\n".join([f"{photo}: {headline(judgement, document)}", *(f"  {line}" for line in lines)])


def measured_table(judgement: Judgement) -> str:
    """Return a line per requirement with value, limit, outcome and source."""
    rows = [("", "measured", "asked", "", "source"), *(_row(finding) for finding in judgement.findings)]
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    return "\n".join(f"  {line}" for line in lines)


def _row(finding: Assessment) -> tuple[str, str, str, str, str]:
    name = requirement(finding.measurement.name)
    return name, measured_number(finding), asked_text(finding), WORDS[finding.word], finding.source


def _measurement(finding: Assessment) -> dict[str, Any]:
    measurement = finding.measurement
    return {
        "name": measurement.name,
        "value": _rounded(measurement.value),
        "unit": measurement.unit,
        "uncertainty": _rounded(measurement.uncertainty),
        "min": finding.limit.low,
        "max": finding.limit.high,
        "decision": finding.decision,
        "verdict": finding.word,
        "source": finding.source,
    }


def _place(point: Point) -> list[float]:
    return [round(point.x, 2), round(point.y, 2)]


def _frame(rect: Rect) -> dict[str, float]:
    return {side: round(getattr(rect, side), 2) for side in ("x", "y", "width", "height")}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, _DECIMALS)
