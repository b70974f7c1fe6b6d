"""Release: the sheet is ready and waits for the attendant."""

from __future__ import annotations

from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.composition import emblem_card, heading
from kiosk.screens.toolkit.layout import short_rows
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import NOTE_HEIGHT, footer, notes, sheets_text


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    rest = heading(scene, area.shown, tr("release.title"))
    emblem_card(scene, rest, lambda on, box: on.icon(box, "attendant", theme.GUIDE, 5))
    items = [("printer", tr("release.text")), ("document", sheets_text(scene.words, view))]
    notes(scene, short_rows(area.controls, len(items), scene.high(NOTE_HEIGHT)), items)
    footer(scene, area)
