"""Paying: how much is still to be paid, where, and how long the booth waits for it."""

from __future__ import annotations

from functools import partial

from kiosk.core.session.time_limits import WARNING_S
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit.composition import emblem_card, heading
from kiosk.screens.toolkit.layout import cut_bottom, lines_over, rows, short_rows
from kiosk.screens.toolkit.progress_ring import answering
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import NOTE_HEIGHT, button, footer, notes, sheets_text

BUTTON_HEIGHT = 130.0
CROWDED = 3
"""With more sentences than this, larger text takes the room of the drawing."""


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr, area, payment = scene.words.tr, scene.area, view.payment
    due = scene.words.money(payment.due) if payment.due is not None else ""
    key = "paying.ending" if payment.is_ending else f"paying.{payment.way}"
    rest = heading(scene, area.shown, tr(key, price=due))
    items = [("document", sheets_text(scene.words, view))]
    if payment.paid is not None:
        items.append(("tick", tr("paying.paid", price=scene.words.money(payment.paid))))
    if payment.way == "coins":
        items.append(("note", tr("paying.no_change")))
    may_extend = not payment.is_ending and 0 < payment.seconds_left <= WARNING_S
    lines, buttons = cut_bottom(area.controls, BUTTON_HEIGHT * (1 + may_extend) + 24 * may_extend, 24)
    *more, cancel = rows(buttons, 1 + may_extend, 24)
    if not payment.is_ending:
        minutes, seconds = divmod(payment.seconds_left, 60)
        items.append(("clock", tr("paying.time", time=f"{minutes}:{seconds:02}")))
        button(scene, cancel, tr("button.cancel"), Intent("cancel"), icon="cross")
    if may_extend:
        button(scene, more[0], tr("button.more_time"), Intent("more_time"), icon="clock")
    if scene.ease.large_type and len(items) > CROWDED:
        notes(scene, lines_over(rest, lines, len(items)), items)
    else:
        emblem_card(scene, rest, partial(answering, icon=payment.icon, waits=payment.is_ending))
        notes(scene, short_rows(lines, len(items), scene.high(NOTE_HEIGHT)), items)
    footer(scene, area, start_again=False)
