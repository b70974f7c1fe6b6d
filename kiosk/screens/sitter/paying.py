"""Paying: how much is still to be paid, where, and how long the booth waits for it."""

from __future__ import annotations

from kiosk.core.session.time_limits import WARNING_S
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import columns, cut_bottom, cut_top, rows, square
from kiosk.screens.toolkit.progress_ring import waiting
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, notes, sheets_text

LINE_HEIGHT = 130.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr, area, payment = scene.words.tr, scene.area, view.payment
    sign, words = cut_top(area.shown, area.shown.height * scene.share(0.5), 28)
    place = square(sign, min(sign.height, 340))
    if payment.is_ending:
        waiting(scene, place, payment.icon)
        title = tr("paying.ending")
    else:
        scene.icon(place, payment.icon, theme.GUIDE, 5)
        due = scene.words.money(payment.due) if payment.due is not None else ""
        title = tr(f"paying.{payment.way}", price=due)
    scene.text(words, title, theme.INSTRUCTION, bold=True, align="centre", stand="top")
    items = [("document", sheets_text(scene.words, view))]
    if payment.paid is not None:
        items.append(("tick", tr("paying.paid", price=scene.words.money(payment.paid))))
    if payment.way == "coins":
        items.append(("note", tr("paying.no_change")))
    lines, cancel = cut_bottom(area.controls, 140, 24)
    if not payment.is_ending:
        minutes, seconds = divmod(payment.seconds_left, 60)
        items.append(("clock", tr("paying.time", time=f"{minutes}:{seconds:02}")))
        if 0 < payment.seconds_left <= WARNING_S:
            more, cancel = columns(cancel, 2)
            button(scene, more, tr("button.more_time"), Intent("more_time"), icon="clock")
        button(scene, cancel, tr("button.cancel"), Intent("cancel"), icon="cross")
    high = min(lines.height, LINE_HEIGHT * len(items))
    notes(scene, rows(cut_top(lines, high)[0], len(items), 12), items)
    footer(scene, area, start_again=False)
