"""Money back: what becomes of money that bought no sheet, with a code where the shop owes it."""

from __future__ import annotations

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_bottom, cut_top, square
from kiosk.screens.toolkit.progress_ring import waiting
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, note

_TITLES = {None: "money_back.checking", True: "money_back.returned", False: "money_back.owed"}


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr, area, payment = scene.words.tr, scene.area, view.payment
    sign, words = cut_top(area.shown, area.shown.height * scene.share(0.5), 28)
    place = square(sign, min(sign.height, 340))
    if payment.repaid is None:
        waiting(scene, place, payment.icon)
    else:
        scene.icon(place, payment.icon, theme.GUIDE, 5)
    amount = scene.words.money(payment.paid) if payment.paid is not None else ""
    title = tr(_TITLES[payment.repaid], price=amount)
    scene.text(words, title, theme.INSTRUCTION, bold=True, align="centre", stand="top")
    card, done = cut_bottom(area.controls, 150, 28)
    text, _ = cut_top(card, min(card.height, 260))
    if payment.repaid:
        note(scene, text, "card", tr("money_back.returned_text"))
    else:
        note(scene, text, "attendant", tr("money_back.code", code=payment.code))
    button(scene, done, tr("button.done"), Intent("done"), icon="tick", rank="main")
    footer(scene, area, start_again=False)
