"""Collect: take the sheet and cut it with care."""

from __future__ import annotations

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.layout import cut_bottom, cut_top, lines_over, rows, square
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, notes, wiped


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    if view.event.guest is not None:
        _badge(scene)
        return
    tr = scene.words.tr
    area = scene.area
    lines, done = cut_bottom(area.controls, 150, 28)
    items = [("scissors", tr("collect.cut"))]
    if view.document is not None:
        items.append(("ruler", tr("collect.size", size=view.document.size_text)))
    items.append(("wipe", wiped(scene, view, "collect.wipe", "wiped.kept")))
    if scene.ease.large_type:
        title, upper = cut_top(area.shown, area.shown.height * 0.35, 20)
        scene.text(title, tr("collect.title"), theme.INSTRUCTION, bold=True, align="centre")
        notes(scene, lines_over(upper, lines, len(items)), items)
    else:
        sign, words = cut_top(area.shown, area.shown.height * scene.share(0.55), 28)
        emblems.sheet(scene, square(sign, min(sign.height, 400)))
        scene.text(words, tr("collect.title"), theme.INSTRUCTION, bold=True, align="centre", stand="top")
        notes(scene, rows(lines, 3, 16), items)
    button(scene, done, tr("button.done"), Intent("done"), icon="tick", rank="main")
    footer(scene, area, language=False)


def _badge(scene: Scene) -> None:
    """Write where the badge comes out, while it is being printed."""
    tr = scene.words.tr
    area = scene.area
    sign, words = cut_top(area.shown, area.shown.height * scene.share(0.55), 28)
    emblems.papers(scene, square(sign, min(sign.height, 400)))
    scene.text(words, tr("collect.badge"), theme.INSTRUCTION, bold=True, align="centre", stand="top")
    lines, done = cut_bottom(area.controls, 150, 28)
    items = [("person", tr("collect.badge_where")), ("wipe", tr("collect.wipe"))]
    notes(scene, rows(lines, 3, 16), items)
    button(scene, done, tr("button.done"), Intent("done"), icon="tick", rank="main")
    footer(scene, area, language=False)
