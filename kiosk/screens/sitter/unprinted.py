"""Unprinted: the printer has failed, and the accepted photo is kept for its sitter for a while."""

from __future__ import annotations

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.sitter.measured_photo import photo
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.composition import card, heading
from kiosk.screens.toolkit.layout import cut_bottom, cut_top, lines_over, rows
from kiosk.screens.toolkit.scene import PanelPlace, Scene
from kiosk.screens.toolkit.widgets import button, footer, note, notes

BUTTON_HEIGHT = 116.0
USUAL_LINES = 2
"""With more, and the controls low, the sentences take the room of the photo."""

_KEYS = {"unknown": "unprinted.unknown", "ready": "unprinted.ready"}


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr, area = scene.words.tr, scene.area
    rest = heading(scene, area.shown, tr("unprinted.title"))
    asks = view.attended or view.called
    lines, buttons = cut_bottom(area.controls, (2 + asks) * (BUTTON_HEIGHT + 20) - 20)
    items = [
        ("printer", tr(_KEYS.get(view.sheet.print_state, "unprinted.stopped"))),
        ("clock", tr("unprinted.kept", time=scene.words.minutes(view.sheet.photo_minutes))),
    ]
    if view.payment.paid is not None:
        items.append(("tick", tr("unprinted.paid")))
    if scene.ease.large_type or (scene.ease.low_controls and len(items) > USUAL_LINES):
        notes(scene, lines_over(rest, lines, len(items)), items, theme.NAME)
    else:
        photo(scene, card(scene, rest), view)
        notes(scene, rows(lines, len(items), 12), items, theme.NAME)
    retry, *call, leave = rows(buttons, 2 + asks)
    button(scene, retry, tr("button.retry"), Intent("retry"), icon="printer", rank="main")
    if view.called:
        note(scene, call[0], "attendant", tr("called.title"), theme.GUIDE)
    elif view.attended:
        button(scene, call[0], tr("button.call"), Intent("call"), icon="attendant")
    button(scene, leave, tr("button.delete"), PanelPlace("delete"), icon="wipe")
    footer(scene, area, start_again=False)


def paint_sure(scene: Scene, view: SessionView) -> None:
    """Ask once more before the photo is wiped."""
    tr, area = scene.words.tr, scene.area
    photo(scene, card(scene, heading(scene, area.shown, tr("unprinted.sure"), tr("unprinted.sure_text"))), view)
    keep, rest = cut_top(area.controls, 150, 28)
    button(scene, keep, tr("button.keep"), PanelPlace(), icon="back", rank="main")
    delete, _ = cut_top(rest, 130, 28)
    button(scene, delete, tr("button.delete"), Intent("start_again"), icon="wipe")
