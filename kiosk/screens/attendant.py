"""The attendant's desk: the PIN, and which page stands behind it. Its words are English, for staff."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kiosk.core.desk_view import DeskPage, DeskView, Order
from kiosk.core.geometry import Rect
from kiosk.core.view import SessionView
from kiosk.screens import attendant_entry, attendant_guests, attendant_pages, attendant_state, theme
from kiosk.screens.layout import cut_top, square
from kiosk.screens.pad import number_pad
from kiosk.screens.scene import Scene
from kiosk.screens.widgets import small_buttons

DOT, DOT_GAP = 36.0, 24.0
PLACES = 12


def paint(scene: Scene, view: SessionView) -> None:
    """Lay the page out that is open."""
    assert view.desk is not None
    PAGES[view.desk.page](scene, view.desk, view)


def paint_pin(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask for the PIN; say how long to wait where too many were wrong."""
    area = scene.area
    sign, words = cut_top(area.shown, area.shown.height * 0.4, 24)
    scene.icon(square(sign, 220), "attendant", theme.GUIDE, 12)
    title, words = cut_top(words, 120, 12)
    scene.text(title, "For the attendant", theme.TITLE, bold=True, align="centre")
    dots, told = cut_top(words, 80, 16)
    _dots(scene, dots, desk.typed)
    scene.text(told, _told(desk), theme.BODY, _told_colour(desk), align="centre", stand="top")
    number_pad(scene, area.controls, "Enter", enabled=desk.wait_s == 0 and not desk.is_checking)
    small_buttons(scene, area.footer, [("back", "Back", Order("leave")), None, None])


def _told(desk: DeskView) -> str:
    if desk.is_checking:
        return "Checking the PIN."
    if desk.wait_s > 0:
        minutes, seconds = divmod(desk.wait_s, 60)
        return f"Too many wrong PINs. Wait {minutes}:{seconds:02d}."
    return desk.notice or "Type the PIN."


def _told_colour(desk: DeskView) -> theme.Colour:
    return theme.STOP if desk.wait_s > 0 or desk.notice else theme.MUTED


def _dots(scene: Scene, rect: Rect, typed: int) -> None:
    """Draw a disc for each digit typed, and nothing that tells how many there should be."""
    count = min(typed, PLACES)
    width = count * DOT + max(count - 1, 0) * DOT_GAP
    for index in range(count):
        x = rect.centre.x - width / 2 + index * (DOT + DOT_GAP)
        scene.fill(Rect(x, rect.centre.y - DOT / 2, DOT, DOT), theme.TEXT, DOT / 2)


PAGES: Mapping[DeskPage, Callable[[Scene, DeskView, SessionView], None]] = {
    "pin": paint_pin,
    "state": attendant_state.paint,
    "paper": attendant_pages.paint_paper,
    "override": attendant_pages.paint_override,
    "help": attendant_pages.paint_help,
    "ease": attendant_pages.paint_ease,
    "age": attendant_pages.paint_age,
    "shot": attendant_pages.paint_shot,
    "reprint": attendant_pages.paint_reprint,
    "sure_shut": attendant_pages.paint_sure_shut,
    "sure_end": attendant_pages.paint_sure_end,
    "guests": attendant_guests.paint_guests,
    "guest": attendant_guests.paint_guest,
    "entry": attendant_entry.paint_entry,
    "doubles": attendant_entry.paint_doubles,
}
