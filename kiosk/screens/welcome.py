"""Welcome: what the booth does, in the sitter's language."""

from __future__ import annotations

from kiosk.core.geometry import Rect
from kiosk.core.view import Intent, SessionView
from kiosk.i18n import native_name
from kiosk.screens import theme
from kiosk.screens.layout import cut_bottom, cut_top, grid, layout, square
from kiosk.screens.pen import Pen
from kiosk.screens.scene import Act, Place, Scene, Side
from kiosk.screens.widgets import button, footer, note

LANGUAGES_SHOWN = 6


def paint(scene: Scene, view: SessionView) -> None:
    """Lay the screen out."""
    tr = scene.words.tr
    area = layout(scene.size)
    picture, words = cut_top(area.shown, area.shown.height * 0.46, 24)
    emblem(scene, square(picture, min(picture.height, 400)))
    title, text = cut_top(words, words.height * 0.44, 12)
    align: Side = "centre" if scene.is_portrait else "start"
    scene.text(title, tr("welcome.title"), theme.INSTRUCTION, bold=True, align=align, stand="bottom")
    scene.text(text, tr("welcome.text"), theme.BODY, theme.MUTED, align=align, stand="top")

    start, below = cut_top(area.controls, 160, 28)
    button(scene, start, tr("button.start"), Intent("start"), rank="main")
    languages, caution = cut_bottom(below, 150, 20)
    languages_grid(scene, Rect(languages.x, languages.y, languages.width, 3 * 108 + 2 * 16), view)
    note(scene, caution, "flash", tr("flash"), theme.GUIDE)
    footer(scene, area, language=False, start_again=False)


def languages_grid(scene: Scene, area: Rect, view: SessionView) -> None:
    """Draw the languages, each in its own script; the one in use carries a tick."""
    cells = grid(area, 2, 3, 16)
    shown = view.languages if len(view.languages) <= LANGUAGES_SHOWN else view.languages[: LANGUAGES_SHOWN - 1]
    for cell, tag in zip(cells, shown, strict=False):
        language_button(scene, cell, tag, current=tag == view.language)
    if len(shown) < len(view.languages):
        more: Act = Place("language")
        button(scene, cells[len(shown)], scene.words.tr("button.language"), more, icon="language")


def language_button(scene: Scene, rect: Rect, tag: str, *, current: bool) -> None:
    """Draw one language."""
    button(scene, rect, native_name(tag), Intent("language", tag), icon="tick" if current else "language")
    if current:
        scene.outline(rect, theme.GOOD, 5)


def emblem(scene: Scene, rect: Rect) -> None:
    """Draw what this is about: a head in a frame that is measured."""
    with Pen(scene.canvas, scene.at(rect), theme.TEXT, 2.6).in_box() as pen:
        pen.oval(50, 45, 17, 22)
        pen.curve((19, 92), (22, 76), (43, 74))
        pen.curve((57, 74), (78, 76), (81, 92))
    with Pen(scene.canvas, scene.at(rect), theme.GUIDE, 2.6).in_box() as pen:
        for x, y, along, down in ((8, 6, 1, 1), (92, 6, -1, 1), (8, 94, 1, -1), (92, 94, -1, -1)):
            pen.line((x + 14 * along, y), (x, y), (x, y + 14 * down))
    with Pen(scene.canvas, scene.at(rect), theme.GOOD, 2.6).in_box() as pen:
        for y in (23, 67):
            pen.line((74, y), (86, y))
        pen.line((80, 23), (80, 67))
