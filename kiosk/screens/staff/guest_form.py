"""The form to add or correct a guest, and the question about others with the same name."""

from __future__ import annotations

import math

from kiosk.core.base.geometry import Rect
from kiosk.core.view.attendant import DeskIntent, DeskView
from kiosk.core.view.sitter import SessionView
from kiosk.screens.staff.guests import SMALL, typed_words
from kiosk.screens.staff.overview import WORDS
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.keyboard import letter_keys
from kiosk.screens.toolkit.layout import cut_start, cut_top, grid, rows
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, list_row, small_buttons

LINE_HEIGHT, LINE_GAP, NAME_WIDTH = 96.0, 14.0, 260.0
MOST_LINES = 5


def paint_entry(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Draw the fields and the keyboard."""
    area, guests = scene.area, desk.guests
    heading, rest = cut_top(area.shown, 100, 12)
    title = "Add a guest" if guests.chosen is None else "Correct a guest"
    notice = desk.notice or ("The roster is being written." if guests.is_saving else "")
    scene.text(heading, notice or title, SMALL if notice else theme.TITLE[2:], _colour(desk), bold=True)
    first = max(0, guests.at - MOST_LINES + 1)
    for index, (column, value) in enumerate(guests.entered[first : first + MOST_LINES], start=first):
        place, rest = cut_top(rest, LINE_HEIGHT, LINE_GAP)
        name, typed = cut_start(place, NAME_WIDTH, 16)
        scene.text(name, column.replace("_", " ").capitalize(), WORDS, theme.MUTED, bold=True)
        typed_words(scene, typed, value, has_keys=index == guests.at)
    value = guests.entered[guests.at][1]
    if desk.choices:
        _choices(scene, area.controls, desk, value)
    else:
        letter_keys(scene, area.controls, value, shift=guests.shift, last=("Save", DeskIntent("save")))
    following = ("forward", "Next line", DeskIntent("next_field"))
    small_buttons(scene, area.footer, [("back", "Guests", DeskIntent("show", "guests")), following, None])


def paint_doubles(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask for confirmation because others have the same name."""
    area = scene.area
    title, below = cut_top(area.shown, 240, 16)
    scene.text(title, "This name is on the list already", theme.TITLE, bold=True)
    text = "If it is the same person, open them; two people may have one name."
    scene.text(below, text, theme.BODY, theme.MUTED, stand="top")
    lines, sure = cut_top(area.controls, 3 * 126, 24)
    for cell, guest in zip(rows(lines, 3, 14), desk.guests.doubles, strict=False):
        badge = "has a badge" if guest.has_badge else "no badge yet"
        list_row(
            scene, cell, scene.words.own(guest.name), f"{guest.id} · {badge}", DeskIntent("guest", guest.id), theme.NAME
        )
    button(scene, cut_top(sure, 130)[0], "Add another of that name", DeskIntent("save"))
    small_buttons(scene, area.footer, [("back", "Back", DeskIntent("edit")), None, None])


def _choices(scene: Scene, rect: Rect, desk: DeskView, value: str) -> None:
    """Draw the permitted roles, and the button to save."""
    choices = (*desk.choices, "")
    cells = grid(rect, 2, math.ceil((len(choices) + 1) / 2), 14)
    for cell, choice in zip(cells, choices, strict=False):
        scene.fill(cell, theme.RAISED)
        scene.outline(cell, theme.GOOD if choice == value else theme.LINE, 6 if choice == value else 3)
        scene.text(cell.inset(12, 4, 12, 4), choice.capitalize() or "None", theme.NAME, bold=True, align="centre")
        scene.touch(cell, DeskIntent("value", choice))
    button(scene, cells[-1], "Save", DeskIntent("save"), rank="main")


def _colour(desk: DeskView) -> theme.ThemeColour:
    return theme.STOP if desk.notice else theme.TEXT
