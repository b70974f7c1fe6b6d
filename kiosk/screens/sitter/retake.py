"""Retake: the shot that did not pass, what was wrong with it, what mends it, and how many tries are left."""

from __future__ import annotations

from kiosk.core.view.sitter import SessionView
from kiosk.screens.sitter.align import count_text, figure, instruction_text
from kiosk.screens.sitter.measured_photo import photo
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.composition import card
from kiosk.screens.toolkit.layout import cut_bottom, cut_start, cut_top, square
from kiosk.screens.toolkit.outcome_signs import FINAL, sign
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import footer

COUNT_HEIGHT = 110.0
PHOTO_SHARE = 0.55
TITLE_HEIGHT = 110.0
FIGURE_SIDE = 230.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen; nothing on it needs to be touched, the coach goes on by itself."""
    tr, area = scene.words.tr, scene.area
    thumbnail, reason = cut_top(area.shown, area.shown.height * PHOTO_SHARE, 24)
    photo(scene, card(scene, thumbnail), view)
    title, why = cut_top(reason, TITLE_HEIGHT, 8)
    place, words = cut_start(title, 80, 20)
    sign(scene, square(place, 72), FINAL["fail"])
    scene.text(words, tr("retake.title"), theme.HEADING, bold=True)
    if view.review.reasons:
        scene.text(why, tr(f"reason.{view.review.reasons[0]}"), theme.SEATED, stand="top")
    remedy, count = cut_bottom(area.controls, COUNT_HEIGHT, 24)
    scene.fill(remedy, theme.SURFACE)
    drawing, text = cut_start(remedy.inset(36, 24, 36, 24), FIGURE_SIDE, 36)
    figure(scene, square(drawing, FIGURE_SIDE), view)
    scene.text(text, instruction_text(scene.words, view), theme.INSTRUCTION, bold=True)
    scene.text(count, count_text(scene.words, view), theme.SEATED, theme.MUTED)
    footer(scene, area)
