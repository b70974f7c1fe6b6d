"""The attendant's desk: the PIN, and the page behind it. The desk is in English, for staff."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kiosk.core.base.geometry import Rect
from kiosk.core.view.attendant import DeskIntent, DeskPage, DeskView
from kiosk.core.view.sitter import SessionView
from kiosk.screens.staff import guest_form, guests, overview, pages
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_top, square
from kiosk.screens.toolkit.number_pad import number_pad
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import small_buttons

DOT, DOT_GAP = 36.0, 24.0
PLACES = 12


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the open page."""
    assert view.desk is not None
    PAGES[view.desk.page](scene, view.desk, view)


def paint_pin(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask for the PIN, or say how long it stays locked."""
    area = scene.area
    sign, words = cut_top(area.shown, area.shown.height * 0.4, 24)
    scene.icon(square(sign, 220), "attendant", theme.GUIDE, 12)
    title, words = cut_top(words, 120, 12)
    scene.text(title, "For the attendant", theme.TITLE, bold=True, align="centre")
    dots, below = cut_top(words, 80, 16)
    _dots(scene, dots, desk.typed)
    scene.text(below, _notice(desk), theme.BODY, _notice_colour(desk), align="centre", stand="top")
    number_pad(scene, area.controls, "Enter", enabled=desk.wait_s == 0 and not desk.is_checking)
    small_buttons(scene, area.footer, [("back", "Back", DeskIntent("leave")), None, None])


def _notice(desk: DeskView) -> str:
    if desk.is_checking:
        return "Checking the PIN."
    if desk.wait_s > 0:
        minutes, seconds = divmod(desk.wait_s, 60)
        return f"Too many wrong PINs. Wait {minutes}:{seconds:02d}."
    return desk.notice or "Type the PIN."


def _notice_colour(desk: DeskView) -> theme.ThemeColour:
    return theme.STOP if desk.wait_s > 0 or desk.notice else theme.MUTED


def _dots(scene: Scene, rect: Rect, typed: int) -> None:
    """Draw a disc for each digit typed, without revealing how many the PIN has."""
    count = min(typed, PLACES)
    width = count * DOT + max(count - 1, 0) * DOT_GAP
    for index in range(count):
        x = rect.centre.x - width / 2 + index * (DOT + DOT_GAP)
        scene.fill(Rect(x, rect.centre.y - DOT / 2, DOT, DOT), theme.TEXT, DOT / 2)


PAGES: Mapping[DeskPage, Callable[[Scene, DeskView, SessionView], None]] = {
    "pin": paint_pin,
    "state": overview.paint,
    "paper": pages.paint_paper,
    "override": pages.paint_override,
    "help": pages.paint_help,
    "ease": pages.paint_ease,
    "age": pages.paint_age,
    "shot": pages.paint_shot,
    "reprint": pages.paint_reprint,
    "owed": pages.paint_owed,
    "sure_shut": pages.paint_sure_shut,
    "sure_end": pages.paint_sure_end,
    "guests": guests.paint_guests,
    "guest": guests.paint_guest,
    "entry": guest_form.paint_entry,
    "doubles": guest_form.paint_doubles,
}
