"""Thank you: the sheet was taken, and the screen says what is kept."""

from __future__ import annotations

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_bottom, cut_top, square
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import FINAL, button, footer, sign, wiped


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    place, words = cut_top(area.shown, area.shown.height * scene.share(0.5), 24)
    sign(scene, square(place, min(place.height, 280)), FINAL["pass"])
    title, text = cut_top(words, words.height * 0.45, 12)
    scene.text(title, tr("thanks.title"), theme.INSTRUCTION, bold=True, align="centre", stand="bottom")
    scene.text(
        text, wiped(scene, view, "thanks.text", "wiped.kept"), theme.BODY, theme.MUTED, align="centre", stand="top"
    )
    _, done = cut_bottom(area.controls, 150)
    button(scene, done, tr("button.done"), Intent("done"), icon="tick", rank="main")
    footer(scene, area, start_again=False)
