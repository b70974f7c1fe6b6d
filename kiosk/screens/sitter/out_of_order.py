"""Out of order: what is unavailable, calmly in the sitter's language, and the details in English for staff."""

from __future__ import annotations

from typing import get_args

from kiosk.core.base.geometry import Rect
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView, SheetFate
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.composition import emblem_card, heading
from kiosk.screens.toolkit.layout import cut_bottom, cut_top
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, note


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    is_fate = view.trouble in get_args(SheetFate)
    key = "out_of_order.text" if view.trouble == "other" else f"out_of_order.{view.trouble}"
    if is_fate and view.is_alone:
        key = f"{key}_alone"
    rest = heading(scene, area.shown, tr("out_of_order.title"), tr(key))
    emblem_card(scene, rest, emblems.unplugged)
    if is_fate:
        card, read = cut_bottom(area.controls, 150, 28)
        button(scene, read, tr("button.done"), Intent("done"), icon="tick", rank="main")
    else:
        ask, card = cut_top(area.controls, scene.high(150), 28)
        icon, key = ("clock", "out_of_order.alone") if view.is_alone else ("attendant", "out_of_order.ask")
        note(scene, ask, icon, tr(key))
    if view.fault[0]:
        _fault(scene, card, view.fault)
    footer(scene, area, help_=False, start_again=False)


def _fault(scene: Scene, rect: Rect, fault: tuple[str, str]) -> None:
    """Write the fault's own sentence and next step, which are for staff."""
    sentence, next_step = fault
    scene.fill(rect, theme.SURFACE)
    inner = rect.inset(32, 24, 32, 24)
    heading, rest = cut_top(inner, 64, 8)
    scene.text(heading, scene.words.tr("out_of_order.attendant"), theme.DETAIL, theme.MUTED, bold=True)
    upper, lower = cut_top(rest, rest.height / 2 - 8, 16)
    scene.text(upper, scene.words.own(sentence), theme.BODY, stand="top")
    scene.text(lower, scene.words.own(next_step), theme.BODY, theme.MUTED, stand="top")
