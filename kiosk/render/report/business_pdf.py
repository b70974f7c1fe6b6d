"""The report on a day, a month or a year on one A4 page: key figures, four charts, and incidents."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date, timedelta

from kiosk.core.base.geometry import Rect
from kiosk.core.session.business_report import ENDINGS, BusinessReport, Period
from kiosk.core.sheet.cut_marks import Segment
from kiosk.core.sheet.media import medium
from kiosk.i18n import Words
from kiosk.render.drawing.chart import EM_MM, GREY, PALE, SMALL_MM, Bar, lying_bars, standing_bars, title, write
from kiosk.render.drawing.outline import wrapped
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.report.business import ENDING_WORDS, figures, incidents

_PAPER = medium("a4")
_LEFT, _RIGHT, _TOP, _FOOT = 18.0, 192.0, 16.0, 281.0
_GAP = 10.0
_HALF = (_RIGHT - _LEFT - _GAP) / 2
_LONG_MINUTES = 10
"""Sessions of this many minutes or more share one bar."""
_DAYS_SHOWN = 62
"""The longest period, in days, whose sheets are shown by day; a longer one is shown by month."""


def trade_pdf(trade: BusinessReport, booth: str, made_on: date) -> bytes:
    """Return the report as PDF; the parameters are those of `trade_page`."""
    return trade_page(trade, booth, made_on).finish()


def trade_page(trade: BusinessReport, booth: str, made_on: date) -> PdfPage:
    """Return the report as a page.

    Parameters
    ----------
    trade
        The figures of the period.
    booth
        The booth's name, or an empty string.
    made_on
        The day of the report, which also shows whether the period is over.
    """
    heading = f"{booth or 'Booth'}: {trade.period.text}"
    page = PdfPage(_PAPER.size_mm, heading)
    title(page, heading, _LEFT, _TOP, 6.0, "H1")
    until = "" if made_on > trade.period.last else ", and the period is not over"
    write(page, f"Made on {made_on.isoformat()}{until}.", _LEFT, _TOP + 9.0, SMALL_MM, GREY)
    _figures(page, figures(trade), 34.0)
    right = _LEFT + _HALF + _GAP
    lying_bars(page, Rect(_LEFT, 62.0, _HALF, 72.0), "What fails most", _failing(trade), "No shot was judged.")
    lying_bars(page, Rect(right, 62.0, _HALF, 72.0), "How sessions ended", _endings(trade), "No session.")
    minutes = _minutes(trade)
    standing_bars(page, Rect(_LEFT, 142.0, _HALF, 58.0), "Sitters by minutes until printed", minutes, "Nobody printed.")
    by, bars = _sheets(trade)
    standing_bars(page, Rect(right, 142.0, _HALF, 58.0), by, bars, "No sheet was printed.")
    _incidents(page, incidents(trade), 208.0)
    foot = "Counted from the booth's ledger, which holds no picture, no name and no measurement of a face."
    write(page, foot, _LEFT, _FOOT - 4.0, SMALL_MM, GREY)
    return page


def _figures(page: PdfPage, values: Mapping[str, str], y_mm: float) -> None:
    page.draw_line(Segment(_LEFT, y_mm - 3.0, _RIGHT, y_mm - 3.0), 0.2, PALE)
    width = (_RIGHT - _LEFT) / len(values)
    for column, (name, value) in enumerate(values.items()):
        x = _LEFT + column * width
        title(page, value, x, y_mm, 6.0, "P")
        for row, line in enumerate(wrapped(name, width - 2.0, SMALL_MM)):
            write(page, line, x, y_mm + 8.5 + row * 3.2, SMALL_MM, GREY)
    page.draw_line(Segment(_LEFT, y_mm + 20.0, _RIGHT, y_mm + 20.0), 0.2, PALE)


def _failing(trade: BusinessReport) -> list[Bar]:
    words = Words.load("en")
    return [
        Bar(
            words.tr(f"requirement.{one.name}"),
            one.failed / one.judged,
            f"{one.failed / one.judged:.0%} of {one.judged:,}",
        )
        for one in trade.requirements
        if one.failed
    ]


def _endings(trade: BusinessReport) -> list[Bar]:
    counts = trade.endings
    return [Bar(ENDING_WORDS[ending], counts[ending], f"{counts[ending]:,}") for ending in ENDINGS if counts[ending]]


def _minutes(trade: BusinessReport) -> list[Bar]:
    counts = Counter(min(int(minutes), _LONG_MINUTES) for minutes in trade.minutes)
    names = [*(f"{low}–{low + 1}" for low in range(_LONG_MINUTES)), f"{_LONG_MINUTES}+"]
    return [Bar(name, counts[low], "") for low, name in enumerate(names)]


def _sheets(trade: BusinessReport) -> tuple[str, list[Bar]]:
    """Return a heading and the printed sheets per day, or per month for a long period."""
    printed = {day.day: day.sheets.get("printed", 0) for day in trade.days}
    period = trade.period
    if (period.last - period.first).days < _DAYS_SHOWN:
        return "Sheets printed per day", [Bar(f"{day.day}", printed.get(day, 0), "") for day in _days(period)]
    by_month = Counter[tuple[int, int]]()
    for day, count in printed.items():
        by_month[day.year, day.month] += count
    months = dict.fromkeys((day.year, day.month) for day in _days(period))
    return "Sheets printed per month", [Bar(f"{month[1]}", by_month[month], "") for month in months]


def _days(period: Period) -> list[date]:
    return [period.first + timedelta(days=step) for step in range((period.last - period.first).days + 1)]


def _incidents(page: PdfPage, lines: list[str], y_mm: float) -> None:
    title(page, "To look into", _LEFT, y_mm)
    y_mm += 6.5
    for line in lines or ["Nothing."]:
        for part in wrapped(line, _RIGHT - _LEFT, EM_MM):
            if y_mm > _FOOT - 12.0:
                write(page, "… and more: the list is on the screen.", _LEFT, y_mm, EM_MM, GREY)
                return
            write(page, part, _LEFT, y_mm)
            y_mm += 4.4
