"""Welcome: what the booth does, in the sitter's language."""

from __future__ import annotations

from kiosk.core.base.geometry import Rect
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import native_name
from kiosk.screens.sitter.welcome_loop import WelcomeLoop
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.composition import LEAST_CARD, card, heading, height_below
from kiosk.screens.toolkit.layout import cut_bottom, cut_top, grid
from kiosk.screens.toolkit.outcome_signs import FINAL, sign
from kiosk.screens.toolkit.scene import PanelPlace, Scene, UserAct
from kiosk.screens.toolkit.widgets import NOTE_GAP, NOTE_SIGN, button, caution, footer, note

LANGUAGES_DOWN = 3
CAUTION_HEIGHT = 150.0
LANGUAGE_HEIGHT, LANGUAGE_GAP = 108.0, 16.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    start, below = cut_top(area.controls, 160, 28)
    button(scene, start, tr("button.start"), Intent("start"), rank="main")
    title, text = tr("welcome.title"), tr("welcome.text")
    shown, languages, warned = area.shown, *cut_bottom(below, CAUTION_HEIGHT, 20)
    if scene.ease.large_type:
        languages = below
        width = area.shown.width - NOTE_SIGN - NOTE_GAP
        height = height_below(scene, area.shown, title, text, caution(scene, view), width)
        shown, warned = cut_bottom(area.shown, height, 0)
    rest = heading(scene, shown, title, text)
    if rest.height >= LEAST_CARD:
        scene.moving.append(WelcomeLoop(scene.at(card(scene, rest))))
    down = min(LANGUAGES_DOWN, int((languages.height + LANGUAGE_GAP) // (LANGUAGE_HEIGHT + LANGUAGE_GAP)))
    height = down * (LANGUAGE_HEIGHT + LANGUAGE_GAP) - LANGUAGE_GAP
    languages_grid(scene, grid(cut_top(languages, height)[0], 2, down, LANGUAGE_GAP), view)
    note(scene, warned, "flash", caution(scene, view), theme.GUIDE)
    footer(scene, area, language=False, start_again=False)


def languages_grid(scene: Scene, cells: list[Rect], view: SessionView) -> None:
    """Draw the languages, each in its own script, with a tick at the current one."""
    shown = _shown(view, len(cells))
    for cell, tag in zip(cells, shown, strict=False):
        language_button(scene, cell, tag, current=tag == view.language)
    if len(shown) < len(view.languages):
        more: UserAct = PanelPlace("language")
        button(scene, cells[len(shown)], scene.words.tr("button.language"), more, icon="language")


def language_button(scene: Scene, rect: Rect, tag: str, *, current: bool) -> None:
    """Draw one language."""
    scene.fill(rect, theme.RAISED)
    scene.outline(rect, theme.GOOD if current else theme.LINE, 5 if current else 3)
    scene.text(rect.inset(12, 4, 12, 4), native_name(tag), theme.NAME, bold=True, align="centre")
    scene.touch(rect, Intent("language", tag))
    if current:
        sign(scene, Rect(rect.right - 44, rect.y - 10, 48, 48), FINAL["pass"])


def _shown(view: SessionView, places: int) -> tuple[str, ...]:
    """Return the first of the site's languages, including the current one; the others are behind another button."""
    if len(view.languages) <= places:
        return view.languages
    first = view.languages[: places - 1]
    return first if view.language in first else (*first[:-1], view.language)
