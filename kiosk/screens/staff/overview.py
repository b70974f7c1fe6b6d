"""The attendant's first page: the overview in words, and the possible orders."""

from __future__ import annotations

import math
from collections.abc import Mapping

from kiosk.core.base.geometry import Rect
from kiosk.core.view.attendant import DeskIntent, DeskView, Mark, StatusLine
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_start, cut_top, grid
from kiosk.screens.toolkit.outcome_signs import Sign, sign
from kiosk.screens.toolkit.scene import PanelPlace, Scene, UserAct
from kiosk.screens.toolkit.text import Style, fit
from kiosk.screens.toolkit.widgets import button, small_buttons

SIGNS: Mapping[Mark, Sign] = {
    "good": ("tick", theme.GOOD),
    "look": ("attention", theme.GUIDE),
    "bad": ("cross", theme.STOP),
    "none": ("dots", theme.MUTED),
}
WORDS: theme.TypeScale = (40, 38, 36)
SIGN_SIDE, LINE_GAP, NAME_WIDTH = 44.0, 18.0, 250.0


def paint(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Draw the page."""
    area = scene.area
    heading, rest = cut_top(area.shown, 76, 20)
    if desk.notice:
        scene.text(heading, desk.notice, theme.BODY + WORDS, theme.GUIDE, bold=True)
    else:
        scene.text(heading, "Booth status", theme.TITLE[2:], bold=True)
    pages = _pages(desk.lines, rest)
    page = min(scene.place.page, len(pages) - 1)
    _lines(scene, rest, pages[page])
    _orders(scene, area.controls, desk)
    last = len(pages) - 1
    more: tuple[str, str, UserAct] | None = ("dots", "More", PanelPlace(page=page + 1)) if page < last else None
    if last and page == last:
        more = ("back", "First", PanelPlace())
    again = ("start_again", "Refresh", DeskIntent("show", "state"))
    small_buttons(scene, area.footer, [("back", "Leave", DeskIntent("leave")), again, more])


def _pages(lines: tuple[StatusLine, ...], rect: Rect) -> list[list[tuple[StatusLine, float]]]:
    """Split the lines into pages, each line with its height."""
    pages: list[list[tuple[StatusLine, float]]] = [[]]
    taken = 0.0
    for line in lines:
        width = rect.width - SIGN_SIDE - 20 - NAME_WIDTH - 16
        height = max(fit(line.words, width, rect.height, WORDS[1:], Style(theme.TEXT)).height, SIGN_SIDE + 4)
        if pages[-1] and taken + height > rect.height:
            pages.append([])
            taken = 0.0
        pages[-1].append((line, height))
        taken += height + LINE_GAP
    return pages


def _lines(scene: Scene, rect: Rect, lines: list[tuple[StatusLine, float]]) -> None:
    for line, height in lines:
        place, rect = cut_top(rect, height, LINE_GAP)
        mark, words = cut_start(place, SIGN_SIDE, 20)
        sign(scene, Rect(mark.x, mark.y + 2, SIGN_SIDE, SIGN_SIDE), SIGNS[line.mark])
        name, below = cut_start(words, NAME_WIDTH, 16)
        scene.text(name, line.name, WORDS[1:], theme.MUTED, bold=True, stand="top")
        scene.text(below, line.words, WORDS[1:], stand="top")


def _orders(scene: Scene, rect: Rect, desk: DeskView) -> None:
    """Draw the possible orders; one that a sitter is waiting for comes first and is filled."""
    wanted: list[tuple[str, str, UserAct]] = []
    if "release" in desk.orders:
        wanted.append(("printer", "Release the sheet", DeskIntent("release")))
    if "answer" in desk.orders:
        wanted.append(("attendant", "Answer the call", DeskIntent("answer")))
    if "override" in desk.orders:
        wanted.append(("tick", "Pass the photo", DeskIntent("show", "override")))
    urgent = len(wanted)
    if "reprint" in desk.orders:
        wanted.append(("printer", "Print again", DeskIntent("show", "reprint")))
    if "settle" in desk.orders:
        wanted.append(("coins", "Pay money out", DeskIntent("show", "owed")))
    if "guest" in desk.orders:
        wanted.append(("document", "Guests", DeskIntent("show", "guests")))
    wanted += [
        ("person", "Help the sitter", DeskIntent("show", "help")),
        ("document", "Paper changed", DeskIntent("show", "paper")),
        ("camera", "Test shot", DeskIntent("show", "shot")),
        ("tick", "Open again", DeskIntent("open_again"))
        if "open_again" in desk.orders
        else ("attention", "Out of order", DeskIntent("show", "sure_shut")),
        ("cross", "End the program", DeskIntent("show", "sure_end")),
    ]
    cells = grid(rect, 2, math.ceil(len(wanted) / 2), 16)
    for index, (cell, (icon, label, act)) in enumerate(zip(cells, wanted, strict=False)):
        button(scene, cell, label, act, icon=icon, rank="main" if index == 0 < urgent else "other")
