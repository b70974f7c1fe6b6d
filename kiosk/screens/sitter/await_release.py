"""Release: the sheet is ready and waits for the attendant."""

from __future__ import annotations

from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_top, rows, square
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import footer, notes, sheets_text


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    sign, words = cut_top(area.shown, area.shown.height * scene.share(0.5), 24)
    scene.icon(square(sign, min(sign.height, 320)), "attendant", theme.GUIDE, 12)
    scene.text(words, tr("release.title"), theme.INSTRUCTION, bold=True, align="centre", stand="top")
    items = [("printer", tr("release.text")), ("document", sheets_text(scene.words, view))]
    notes(scene, rows(cut_top(area.controls, 340)[0], len(items)), items)
    footer(scene, area)
