"""The result of `measure` as a JSON object and as a table."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from kiosk.core.base.geometry import Point, Rect
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Assessment, Judgement
from kiosk.core.session.presenter import limit_text, quantity

_POINTS = ("crown", "hair_top", "chin", "right_eye", "left_eye")
_DECIMALS = 4


def measured_json(photo: Path, judgement: Judgement) -> dict[str, Any]:
    """Return the object that `measure --json` prints for one photo; values that were not measured are null."""
    points, plan = judgement.observation.points, judgement.plan
    return {
        "photo": str(photo),
        "document": judgement.document_id,
        "verdict": judgement.verdict,
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


def unmeasurable_json(photo: Path, document: Document) -> dict[str, Any]:
    """Return the object for a photo that could not be measured."""
    return {
        "photo": str(photo),
        "document": document.id,
        "verdict": "unmeasurable",
        "points_px": None,
        "measurements": [],
        "crop_px": None,
        "print_mm": None,
    }


def measured_text(photo: Path, judgement: Judgement) -> str:
    """Return a heading with the verdict, and a line per requirement with value, limit, outcome and source."""
    rows = [("", "measured", "asked", "", "source"), *(_row(finding) for finding in judgement.findings)]
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    return "\n".join([f"{photo}: {judgement.verdict} ({judgement.document_id})", *(f"  {line}" for line in lines)])


def measured_number(finding: Assessment) -> str:
    """Return the value with its standard uncertainty, unless that rounds to zero, or a dash if there is no value."""
    measurement = finding.measurement
    if measurement.value is None:
        return "–"
    number, spread = (quantity(n, measurement.unit) for n in (measurement.value, measurement.uncertainty))
    return f"{number} ± {spread}" if spread != quantity(0.0, measurement.unit) else number


def asked_text(finding: Assessment) -> str:
    """Return the limit, or the rule in words if it has no limit."""
    return finding.asked or limit_text(finding.limit, finding.measurement.unit)


def _row(finding: Assessment) -> tuple[str, str, str, str, str]:
    measurement = finding.measurement
    name = measurement.name.replace("_", " ")
    return name, measured_number(finding), asked_text(finding), finding.word, finding.source


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
