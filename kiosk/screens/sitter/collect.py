"""Collect: take the sheet and cut it with care."""

from __future__ import annotations

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.composition import emblem_card, heading
from kiosk.screens.toolkit.layout import cut_bottom, lines_over, rows
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, notes, wiped

BUTTON_HEIGHT = 150.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    if view.event.guest is not None:
        _badge(scene)
        return
    tr = scene.words.tr
    area = scene.area
    offers = view.handover.is_held
    lines, buttons = cut_bottom(area.controls, BUTTON_HEIGHT * (1 + offers) + 28 * offers, 28)
    items = [] if view.sheet.tray is None else [("tray", tr(f"tray.{view.sheet.tray}"))]
    items.append(("scissors", tr("collect.cut")))
    if view.document is not None:
        items.append(("ruler", tr("collect.size", size=view.document.size_text)))
    waits = offers or view.handover.stage == "making"
    items.append(("wipe", tr("file.waits") if waits else wiped(scene, view, "collect.wipe", "wiped.kept")))
    rest = heading(scene, area.shown, tr("collect.title"))
    if scene.ease.large_type or (scene.ease.low_controls and offers):
        notes(scene, lines_over(rest, lines, len(items)), items, theme.NAME)
    else:
        emblem_card(scene, rest, emblems.sheet)
        notes(scene, rows(lines, max(len(items), 3), 12), items, theme.NAME if len(items) > 3 else theme.BODY)
    *take, done = rows(buttons, 1 + offers, 28)
    if offers:
        button(scene, take[0], tr("button.file"), Intent("take_file"), icon="document")
    button(scene, done, tr("button.done"), Intent("done"), icon="tick", rank="main")
    footer(scene, area, language=False)


def _badge(scene: Scene) -> None:
    """Write where the badge comes out, while it is being printed."""
    tr = scene.words.tr
    area = scene.area
    rest = heading(scene, area.shown, tr("collect.badge"))
    lines, done = cut_bottom(area.controls, 150, 28)
    items = [("person", tr("collect.badge_where")), ("wipe", tr("collect.wipe"))]
    if scene.ease.large_type:
        notes(scene, lines_over(rest, lines, len(items)), items)
    else:
        emblem_card(scene, rest, emblems.papers)
        notes(scene, rows(lines, 3, 16), items)
    button(scene, done, tr("button.done"), Intent("done"), icon="tick", rank="main")
    footer(scene, area, language=False)
