"""Money back: what becomes of money that bought no sheet, with a code where the shop owes it."""

from __future__ import annotations

from functools import partial

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit.composition import emblem_card, heading
from kiosk.screens.toolkit.layout import cut_bottom, cut_top
from kiosk.screens.toolkit.progress_ring import answering
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, note

_TITLES = {None: "money_back.checking", True: "money_back.returned", False: "money_back.owed"}


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr, area, payment = scene.words.tr, scene.area, view.payment
    amount = scene.words.money(payment.paid) if payment.paid is not None else ""
    rest = heading(scene, area.shown, tr(_TITLES[payment.repaid], price=amount))
    emblem_card(scene, rest, partial(answering, icon=payment.icon, waits=payment.repaid is None))
    lines, done = cut_bottom(area.controls, 150, 28)
    text, _ = cut_top(lines, min(lines.height, 260))
    if payment.repaid:
        note(scene, text, "card", tr("money_back.returned_text"))
    else:
        note(scene, text, "attendant", tr("money_back.code", code=payment.code))
    button(scene, done, tr("button.done"), Intent("done"), icon="tick", rank="main")
    footer(scene, area, start_again=False)
