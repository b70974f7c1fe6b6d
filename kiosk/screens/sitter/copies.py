"""Copies: the number of sheets and the paper; the usual choice is preset, so that one tap goes on."""

from __future__ import annotations

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.media import written
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.layout import columns, cut_bottom, cut_start, cut_top, rows, square
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, sheets_text, switch

BUTTON_HEIGHT = 120.0
LINE_HEIGHT = 132.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    sign, words = cut_top(area.shown, area.shown.height * scene.share(0.46), 24)
    emblems.sheet(scene, square(sign, min(sign.height, 380)))
    title, text = cut_top(words, words.height * 0.5, 12)
    scene.text(title, tr("copies.title"), theme.INSTRUCTION, bold=True, align="centre", stand="bottom")
    scene.text(text, sheets_text(scene.words, view), theme.BODY, theme.MUTED, align="centre", stand="top")
    choices, buttons = cut_bottom(area.controls, BUTTON_HEIGHT, 20)
    _choices(scene, choices, view)
    back, on = cut_start(buttons, buttons.width * 0.34)
    button(scene, back, tr("button.back"), Intent("back"))
    label = tr("copies.print")
    if view.sheet.total is not None:
        label = tr("copies.print_priced", price=scene.words.money(view.sheet.total))
    button(scene, on, label, Intent("print"), icon="printer", rank="main")
    footer(scene, area)


def _choices(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Draw what there is to choose, one below the other; numbers of sheets share lines where there are papers too.

    Where low controls take room they stand on one line without their word, which the text above has.
    """
    papers = view.sheet.papers if len(view.sheet.papers) > 1 else ()
    counts = view.sheet.sheets_offered if len(view.sheet.sheets_offered) > 1 else ()
    crowded = bool(papers) and scene.ease.low_controls
    across = len(counts) if crowded else 2 if papers else 1
    down = len(papers) + -(-len(counts) // max(across, 1))
    height = min(LINE_HEIGHT, (rect.height - 16 * (down - 1)) / down)
    lines = rows(cut_top(rect, down * (height + 16) - 16)[0], down, 16)
    for line, paper in zip(lines, papers, strict=False):
        label = scene.words.tr("printing.sheet", count=paper.photos, paper=written(paper.name))
        if paper.price is not None:
            label = scene.words.joined(label, scene.words.own(scene.words.money(paper.price)))
        switch(scene, line, label, Intent("paper", paper.name), on=paper.name == view.sheet.paper, scale=theme.DETAIL)
    cells = [cell for line in lines[len(papers) :] for cell in columns(line, min(across, len(counts)))]
    for cell, count in zip(cells, counts, strict=False):
        label = scene.words.own(str(count)) if crowded else scene.words.tr("copies.sheets", count=count)
        switch(scene, cell, label, Intent("sheets", str(count)), on=count == view.sheet.sheets)
