"""The report on several booths on two A4 pages: all of them together, and each beside the others."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from kiosk.core.base.geometry import Rect
from kiosk.core.session.fleet_report import FleetReport
from kiosk.core.sheet.media import medium
from kiosk.render.drawing.chart import EM_MM, GREY, SMALL_MM, Bar, lying_bars, standing_bars, title, write
from kiosk.render.drawing.outline import wrapped
from kiosk.render.drawing.pdf import PdfPage, pdf_file
from kiosk.render.report.business_pdf import trade_page
from kiosk.render.report.fleet import drift_words, outlier_words, silent

_PAPER = medium("a4")
_LEFT, _RIGHT, _TOP, _FOOT = 18.0, 192.0, 16.0, 281.0
_GAP = 10.0
_HALF = (_RIGHT - _LEFT - _GAP) / 2
_LINE_MM = 4.4
_LEAST = 30
"""The fewest sitters of a booth whose share of prints is drawn: of fewer, one more or less moves it by 3 %."""


def fleet_pdf(report: FleetReport, made_on: date) -> bytes:
    """Return the report as PDF; `made_on` is its day."""
    heading = f"{report.who}: {report.total.period.text}"
    page = PdfPage(_PAPER.size_mm, heading)
    title(page, f"{heading}, by booth", _LEFT, _TOP, 6.0, "H1")
    right = _LEFT + _HALF + _GAP
    by_sheets = sorted(report.booths, key=lambda one: (-one.sheets, one.booth))
    sheets = [Bar(one.booth, one.sheets, f"{one.sheets:,}") for one in by_sheets if one.sheets]
    lying_bars(page, Rect(_LEFT, 30.0, _HALF, 78.0), "Sheets printed", sheets, "No sheet was printed.")
    lost = sorted(
        (Bar(one.booth, 1 - one.printed / one.sitters, "") for one in report.booths if one.sitters >= _LEAST),
        key=lambda bar: (-bar.value, bar.name),
    )
    left = [Bar(bar.name, bar.value, f"{bar.value:.0%}") for bar in lost]
    lying_bars(page, Rect(right, 30.0, _HALF, 78.0), "Sitters who left without a print", left, "Too few sitters.")
    place = Rect(_LEFT, 116.0, _RIGHT - _LEFT, 52.0)
    if report.takings:
        by = f"Takings per day, {report.currency}"
        standing_bars(page, place, by, [Bar(f"{day.day}", float(sum_), "") for day, sum_ in report.takings.items()], "")
    else:
        days = [Bar(f"{day.day.day}", day.sessions, "") for day in report.total.days]
        standing_bars(page, place, "Sitters per day", days, "No sitter.")
    y_mm = 176.0
    refills = [f"{one.booth}: {one.what}, {one.left}{one.unit} left" for one in report.refills]
    for name, lines in (
        ("To refill", refills),
        ("Not heard of for a day", list(silent(report))),
        ("Which requirement fails where", [outlier_words(one) for one in report.outliers]),
        ("What fails more than in the weeks before", [drift_words(one) for one in report.drifts]),
    ):
        y_mm = _list(page, name, lines, y_mm)
    return pdf_file([trade_page(report.total, report.who, made_on), page])


def _list(page: PdfPage, heading: str, lines: Sequence[str], y_mm: float) -> float:
    """Write a heading with a few of its lines, and return where the next one begins."""
    title(page, heading, _LEFT, y_mm)
    y_mm += 5.4
    shown = [part for line in lines for part in wrapped(line, _RIGHT - _LEFT, SMALL_MM)] or ["Nothing."]
    room = 4
    more = [f"… and more: {len(lines)} in all."] if len(shown) > room else []
    for part in (*shown[: room - len(more)], *more):
        write(page, part, _LEFT, y_mm, SMALL_MM, GREY if part in more else (0.0, 0.0, 0.0))
        y_mm += _LINE_MM
    return y_mm + EM_MM
