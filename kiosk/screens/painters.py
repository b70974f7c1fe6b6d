"""Which function draws which view."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kiosk.core.view.sitter import SessionView, State
from kiosk.screens.sitter import (
    align,
    await_release,
    choose,
    collect,
    copies,
    find_guest,
    money_back,
    out_of_order,
    overlays,
    paying,
    prepare,
    printing,
    privacy,
    retake,
    review,
    search,
    take_file,
    thanks,
    unprinted,
    welcome,
)
from kiosk.screens.staff import desk
from kiosk.screens.toolkit.scene import Panel, PanelPlace, Scene

Paint = Callable[[Scene, SessionView], None]

SCREENS: Mapping[State, Paint] = {
    "welcome": welcome.paint,
    "find": find_guest.paint,
    "choose": choose.paint,
    "prepare": prepare.paint,
    "privacy": privacy.paint,
    "align": align.paint,
    "shooting": align.paint,
    "measuring": align.paint,
    "review": review.paint,
    "copies": copies.paint,
    "release": await_release.paint,
    "paying": paying.paint,
    "printing": printing.paint,
    "unprinted": unprinted.paint,
    "collect": collect.paint,
    "take_file": take_file.paint,
    "money_back": money_back.paint,
    "thanks": thanks.paint,
    "out_of_order": out_of_order.paint,
}
"""The screen for each state of the session."""
NARROWING: Mapping[Panel, Paint] = {
    "countries": choose.paint_countries,
    "kinds": choose.paint_kinds,
    "search": search.paint,
}
"""The panels that narrow the list of documents."""
PANELS: Mapping[tuple[State, Panel], Paint] = {
    ("review", "details"): review.paint_details,
    ("unprinted", "delete"): unprinted.paint_sure,
}
"""The panels of one screen."""


def painter(view: SessionView, place: PanelPlace) -> Paint:
    """Return what draws a view: the attendant's desk, a warning, an open panel, or the screen of its state."""
    if view.desk is not None:
        return desk.paint
    if view.time_left_s is not None:
        return overlays.paint_warning
    if place.panel == "help":
        return overlays.paint_help
    if place.panel == "called" and view.called:
        return overlays.paint_called
    if place.panel == "language":
        return overlays.paint_languages
    if place.panel == "ease":
        return overlays.paint_ease
    if view.state == "choose" and place.panel in NARROWING:
        return NARROWING[place.panel]
    if (view.state, place.panel) in PANELS:
        return PANELS[view.state, place.panel]
    if view.state == "align" and view.align.shows_retake:
        return retake.paint
    return SCREENS[view.state]
