"""Printing: what is being printed, and that it takes a moment."""

from __future__ import annotations

from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit.composition import emblem_card, heading
from kiosk.screens.toolkit.layout import lines_over, short_rows
from kiosk.screens.toolkit.progress_ring import WaitRing, ring
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import NOTE_HEIGHT, footer, notes, sheets_text

CROWDED = 3
"""With more sentences than this, larger text takes the room of the drawing."""


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    rest = heading(scene, area.shown, tr("collect.badge" if view.event.guest else "printing.title"))
    items = [] if view.event.guest else [("document", sheets_text(scene.words, view))]
    items.append(("printer", tr(_state_key(view))))
    if view.sheet.takes_s is not None and view.sheet.print_state in ("waiting", "printing"):
        items.append(("clock", tr("printing.time", time=scene.words.duration(view.sheet.takes_s))))
    if view.sheet.tray is not None and view.event.guest is None:
        items.append(("tray", tr(f"tray.{view.sheet.tray}")))
    if view.document is not None and view.document.glasses is False:
        items.append(("glasses", tr("printing.glasses")))
    if scene.ease.large_type and len(items) > CROWDED:
        notes(scene, lines_over(rest, area.controls, len(items)), items)
    else:
        emblem_card(scene, rest, lambda on, box: ring(on, box, "print", WaitRing))
        notes(scene, short_rows(area.controls, len(items), scene.high(NOTE_HEIGHT)), items)
    footer(scene, area, language=False, start_again=False)


def _state_key(view: SessionView) -> str:
    """Return the key of what the printer does; a held sheet waits for the attendant where there is one."""
    match view.sheet.print_state:
        case "waiting":
            return "printing.waiting"
        case "held":
            return "printing.held" if view.attended else "printing.held_alone"
    return "printing.text"
