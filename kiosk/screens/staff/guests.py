"""The attendant's search for guests by name or id, and the page of one guest with badges and reprints."""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.base.geometry import Rect
from kiosk.core.view.attendant import BadgeWay, DeskIntent, DeskView, KnownGuest
from kiosk.core.view.sitter import SessionView
from kiosk.screens.staff.overview import WORDS
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.keyboard import letter_keys
from kiosk.screens.toolkit.layout import cut_top, rows
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, list_row, small_buttons

FOUND_HEIGHT, FOUND_GAP = 112.0, 12.0
TYPED_HEIGHT = 96.0
SHOWN = 2
CARET = "▏"
SMALL: theme.TypeScale = (*WORDS, 32, 28)
"""The sizes for text that may be long: a reason, or the outcome of a badge."""
LONGEST_DETAIL = 26

FIRST: Mapping[BadgeWay, str] = {
    "new_photo": "Badge with a photo",
    "kept_photo": "Badge with the kept photo",
    "without_photo": "Badge without a photo",
}
AGAIN: Mapping[BadgeWay, str] = {
    "new_photo": "Print again, with a new photo",
    "kept_photo": "Print again, with the kept photo",
    "without_photo": "Print again, without a photo",
}


def paint_guests(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Draw the search and the guests that match."""
    area, guests = scene.area, desk.guests
    title, rest = cut_top(area.shown, 100, 12)
    scene.text(title, "Guests", theme.TITLE[2:], bold=True)
    typed, below = cut_top(rest, TYPED_HEIGHT, 20)
    typed_words(scene, typed, guests.query)
    listed, keys = cut_top(area.controls, SHOWN * (FOUND_HEIGHT + FOUND_GAP) - FOUND_GAP, 18)
    shown = guests.found[:SHOWN]
    for cell, guest in zip(rows(listed, SHOWN, FOUND_GAP), shown, strict=False):
        list_row(
            scene, cell, scene.words.own(guest.name), _detail(scene, guest), DeskIntent("guest", guest.id), theme.NAME
        )
    scene.text(below, _notice(desk), WORDS, theme.MUTED, stand="top")
    letter_keys(scene, keys, guests.query, shift=guests.shift, last=("Add", DeskIntent("walk_in")))
    small_buttons(scene, area.footer, [("back", "Back", DeskIntent("show", "state")), None, None])


def paint_guest(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Draw one guest's values on the roster, and offer to print a badge."""
    area, guest = scene.area, desk.guests.chosen
    assert guest is not None
    heading, rest = cut_top(area.shown, 76, 16)
    scene.text(heading, desk.notice, WORDS, theme.GUIDE, bold=True)
    name, rest = cut_top(rest, 150, 12)
    scene.text(name, scene.words.own(guest.name), theme.TITLE, bold=True)
    values = [(column, value) for column, value in guest.values if column != "name" and value]
    lines = [f"{column}: {scene.words.own(value)}" for column, value in values[:5]]
    lines += guest.badges[-3:] or ("No badge yet.",)
    for line in lines:
        place, rest = cut_top(rest, 54, 8)
        scene.text(place, line, SMALL[1:])
    words = AGAIN if guest.has_badge else FIRST
    offered = [(words[way], DeskIntent("badge", way)) for way in desk.ways]
    cells = rows(cut_top(area.controls, 4 * 130 + 3 * 16)[0], 4, 16)
    for cell, (label, order) in zip(cells, offered, strict=False):
        button(scene, cell, label, order, icon="printer", rank="main" if order.argument == desk.ways[0] else "other")
    if not offered:
        scene.text(cells[0], "A badge waits until the guest at the camera has left.", WORDS, theme.GUIDE)
    correct: tuple[str, str, DeskIntent] = ("document", "Correct", DeskIntent("edit"))
    small_buttons(scene, area.footer, [("back", "Guests", DeskIntent("show", "guests")), correct, None])


def typed_words(scene: Scene, rect: Rect, text: str, *, has_keys: bool = True) -> None:
    """Draw a text field; the focused one shows a caret."""
    scene.fill(rect, theme.SURFACE)
    if has_keys:
        scene.outline(rect, theme.GUIDE, 4)
    caret = CARET if has_keys else ""
    scene.text(
        rect.inset(28, 4, 28, 4), f"{scene.words.own(text) if text else ''}{caret}", theme.NAME + SMALL, bold=True
    )


def _detail(scene: Scene, guest: KnownGuest) -> str:
    organisation = dict(guest.values).get("organisation", "")
    if len(organisation) > LONGEST_DETAIL:
        organisation = f"{organisation[: LONGEST_DETAIL - 1]}…"
    detail = scene.words.own(organisation) if organisation else guest.id
    return f"{detail} · {'has a badge' if guest.has_badge else 'no badge yet'}"


def _notice(desk: DeskView) -> str:
    guests = desk.guests
    if desk.notice:
        return desk.notice
    if not guests.query.strip():
        return "Type the first letters of a name, or an id. A keyboard that is plugged in types every script."
    if not guests.found:
        return "Nobody is found. Add the guest with these letters as the beginning of the name."
    more = len(guests.found) - SHOWN
    return f"{more} more; type on to narrow the list." if more > 0 else ""
