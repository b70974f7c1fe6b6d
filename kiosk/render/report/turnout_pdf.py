"""The report on an event on one A4 page: key figures, stations, badges per quarter of an hour, and who is missing."""

from __future__ import annotations

from datetime import datetime

from kiosk.core.base.geometry import Rect
from kiosk.core.event.turnout import StationWork, Turnout
from kiosk.core.sheet.cut_marks import Segment
from kiosk.core.sheet.media import medium
from kiosk.render.drawing.chart import GREY, PALE, SMALL_MM, Bar, lying_bars, standing_bars, title, write
from kiosk.render.drawing.outline import wrapped
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.drawing.text import set_words

_PAPER = medium("a4")
_LEFT, _RIGHT, _TOP, _FOOT = 18.0, 192.0, 16.0, 281.0
_GAP = 10.0
_HALF = (_RIGHT - _LEFT - _GAP) / 2
_NAMES_ACROSS, _NAME_ROW_MM, _NAME_PT = 4, 4.6, 8.0


def turnout_pdf(turnout: Turnout, event: str, made_at: datetime) -> bytes:
    """Return the report as PDF; `made_at` is in the event's time zone, as are all times on the page."""
    page = PdfPage(_PAPER.size_mm, f"Turnout: {event}")
    title(page, event, _LEFT, _TOP, 6.0, "H1")
    write(page, f"Made on {made_at:%Y-%m-%d at %H:%M}.", _LEFT, _TOP + 9.0, SMALL_MM, GREY)
    _figures(page, turnout, 34.0)
    right = _LEFT + _HALF + _GAP
    stations = [_badges(work) for work in turnout.stations]
    lying_bars(page, Rect(_LEFT, 62.0, _HALF, 50.0), "Badges by station", stations, "No badge was begun.")
    minutes = [_minutes(work) for work in turnout.stations if work.minutes_each is not None]
    lying_bars(page, Rect(right, 62.0, _HALF, 50.0), "Minutes a person, median", minutes, "No badge was printed.")
    slots = [Bar(f"{slot.astimezone(made_at.tzinfo):%H:%M}", count, "") for slot, count in turnout.by_slot.items()]
    place = Rect(_LEFT, 118.0, _RIGHT - _LEFT, 58.0)
    standing_bars(page, place, "Badges by the quarter of an hour", slots, "No badge was printed.")
    _missing(page, turnout.missing, 186.0)
    foot = "Counted from the event's roster, which holds no picture. The list of names is personal data."
    write(page, foot, _LEFT, _FOOT - 4.0, SMALL_MM, GREY)
    return page.finish()


def figures(turnout: Turnout) -> dict[str, str]:
    """Return the key figures of a turnout by name."""
    return {
        "expected": f"{turnout.expected:,}",
        "of them walk-ins": f"{turnout.walk_ins:,}",
        "arrived": f"{turnout.arrived:,}",
        "missing": f"{len(turnout.missing):,}",
        "badge waiting": f"{turnout.waiting:,}",
        "badges printed": f"{turnout.printed:,}",
        "of them reprints": f"{turnout.reprints:,}",
        "with a photo": f"{turnout.with_photo:,}",
    }


def _figures(page: PdfPage, turnout: Turnout, y_mm: float) -> None:
    page.draw_line(Segment(_LEFT, y_mm - 3.0, _RIGHT, y_mm - 3.0), 0.2, PALE)
    values = figures(turnout)
    width = (_RIGHT - _LEFT) / len(values)
    for column, (name, value) in enumerate(values.items()):
        x = _LEFT + column * width
        title(page, value, x, y_mm, 6.0, "P")
        for row, line in enumerate(wrapped(name, width - 2.0, SMALL_MM)):
            write(page, line, x, y_mm + 8.5 + row * 3.2, SMALL_MM, GREY)
    page.draw_line(Segment(_LEFT, y_mm + 20.0, _RIGHT, y_mm + 20.0), 0.2, PALE)


def _badges(work: StationWork) -> Bar:
    failed = f", {work.failed} failed or not known" if work.failed else ""
    return Bar(work.station, work.badges, f"{work.badges}{failed}")


def _minutes(work: StationWork) -> Bar:
    minutes = work.minutes_each or 0.0
    return Bar(work.station, minutes, f"{minutes:.1f}")


def _missing(page: PdfPage, names: tuple[str, ...], y_mm: float) -> None:
    """Write the names of people who have not arrived in columns, as many as there is room for."""
    title(page, f"Not arrived: {len(names)}", _LEFT, y_mm)
    top = y_mm + 7.0
    rows = int((_FOOT - 12.0 - top) / _NAME_ROW_MM)
    width = (_RIGHT - _LEFT) / _NAMES_ACROSS
    room = rows * _NAMES_ACROSS
    shown = names if len(names) <= room else names[: room - 1]
    for index, name in enumerate(shown):
        place = Rect(_LEFT + index // rows * width, top + index % rows * _NAME_ROW_MM, width - 3.0, _NAME_ROW_MM)
        page.draw_set_words(set_words(name, place, largest_pt=_NAME_PT, least_pt=4.0), place.x, place.y)
    if len(shown) < len(names):
        more = f"and {len(names) - len(shown)} more"
        write(page, more, _LEFT + (_NAMES_ACROSS - 1) * width, top + (rows - 1) * _NAME_ROW_MM, SMALL_MM, GREY)
