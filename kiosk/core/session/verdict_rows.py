"""The requirements as the review screen lists them."""

from __future__ import annotations

from kiosk.core.judging.conformance import Assessment
from kiosk.core.session.quantities import limit_text, quantity
from kiosk.core.view.review import VerdictRow


def row(finding: Assessment) -> VerdictRow:
    """Return one requirement with its number and limit in words a person reads."""
    measurement = finding.measurement
    unknown = "" if finding.word == "advise" else "–"
    number = unknown if measurement.value is None else quantity(measurement.value, measurement.unit)
    return VerdictRow(measurement.name, number, limit_text(finding.limit, measurement.unit), finding.word)
