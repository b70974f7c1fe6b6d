"""Choose: the documents this booth knows, a page at a time."""

from __future__ import annotations

from kiosk.core.geometry import Rect
from kiosk.core.view import Intent, SessionView
from kiosk.screens import theme
from kiosk.screens.layout import columns, cut_bottom, cut_top, layout, rows
from kiosk.screens.scene import Place, Scene
from kiosk.screens.text import Style, largest_common
from kiosk.screens.widgets import button, footer, list_row

ROW_HEIGHT = 132.0
TURN_HEIGHT = 104.0


def paint(scene: Scene, view: SessionView) -> None:
    """Lay the screen out."""
    tr = scene.words.tr
    area = layout(scene.size)
    title, text = cut_top(area.shown, area.shown.height * 0.55, 24)
    scene.text(title, tr("choose.title"), theme.INSTRUCTION, bold=True, stand="bottom")
    scene.text(text, tr("choose.text"), theme.BODY, theme.MUTED, stand="top")
    if view.offers:
        _list(scene, area.controls, view)
    else:
        scene.text(area.controls, tr("choose.empty"), theme.BODY)
    footer(scene, area)


def _list(scene: Scene, area: Rect, view: SessionView) -> None:
    tr = scene.words.tr
    list_area, turn = cut_bottom(area, TURN_HEIGHT)
    per_page = int((list_area.height + theme.GAP) // (ROW_HEIGHT + theme.GAP))
    pages = -(-len(view.offers) // per_page)
    page = min(scene.place.page, pages - 1)
    offers = view.offers[page * per_page : (page + 1) * per_page]
    lines = rows(list_area, per_page)
    titles = [scene.words.own(offer.title) for offer in offers]
    scale = largest_common(titles, list_area.width - 108, 62, theme.LABEL, Style(theme.TEXT, bold=True))
    for line, offer, title in zip(lines, offers, titles, strict=False):
        where = scene.words.country(offer.country) if offer.country else tr("choose.anywhere")
        detail = tr("choose.detail", country=where, size=offer.size_text)
        list_row(scene, line, title, detail, Intent("choose", offer.id), scale)
    back, number, more = columns(turn, 3)
    if page:
        button(scene, back, tr("button.previous"), Place(page=page - 1))
    else:
        button(scene, back, tr("button.back"), Intent("back"))
    if pages > 1:
        scene.text(number, tr("choose.page", page=page + 1, pages=pages), theme.BODY, theme.MUTED, align="centre")
    if page + 1 < pages:
        button(scene, more, tr("button.next"), Place(page=page + 1))
