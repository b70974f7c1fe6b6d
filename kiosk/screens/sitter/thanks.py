"""Thank you: the sheet was taken, and the screen says what is kept."""

from __future__ import annotations

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit.composition import emblem_card, heading, with_lines
from kiosk.screens.toolkit.layout import cut_bottom
from kiosk.screens.toolkit.outcome_signs import FINAL, sign
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, wiped


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    rest = heading(scene, area.shown, tr("thanks.title"), wiped(scene, view, "thanks.text", "wiped.kept"))
    lines, done = cut_bottom(area.controls, 150, 28)
    emblem_card(scene, with_lines(scene, rest, lines), lambda on, box: sign(on, box, FINAL["pass"]))
    button(scene, done, tr("button.done"), Intent("done"), icon="tick", rank="main")
    footer(scene, area, start_again=False)
