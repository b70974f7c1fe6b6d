"""Choose: the shop's documents by pages, all of them or filtered by country, kind or search."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from kiosk.core.base.geometry import Rect
from kiosk.core.view.choice import DocumentOffer
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.sitter.search import found
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.composition import emblem_card, heading
from kiosk.screens.toolkit.document_signs import document_sign
from kiosk.screens.toolkit.layout import columns, cut_bottom, grid, rows
from kiosk.screens.toolkit.letter_keys import folded
from kiosk.screens.toolkit.scene import PanelPlace, Scene, UserAct
from kiosk.screens.toolkit.text import Style, largest_common
from kiosk.screens.toolkit.widgets import (
    DETAIL_HEIGHT,
    SIGN_WIDTH,
    button,
    document_detail,
    document_title,
    footer,
    list_row,
)

ROW_HEIGHT = 146.0
ROW_GAP = 12.0
TURN_HEIGHT = 104.0
COUNTRIES_ACROSS, COUNTRY_HEIGHT = 2, 108.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the list of documents."""
    tr = scene.words.tr
    area = scene.area
    emblem_card(scene, heading(scene, area.shown, tr("choose.title"), tr("choose.text")), emblems.papers)
    footer(scene, area)
    offers = _narrowed(scene, view)
    if not offers:
        scene.text(area.controls, tr("choose.empty"), theme.BODY)
        return
    list_area, turn = cut_bottom(area.controls, TURN_HEIGHT, 16)
    per_page = int((list_area.height + ROW_GAP) // (scene.high(ROW_HEIGHT) + ROW_GAP))
    page, pages = _page(scene.place.page, len(offers), per_page)
    _list(scene, rows(list_area, per_page, ROW_GAP), offers[page * per_page : (page + 1) * per_page])
    way = _filter_panel(scene.place)
    _turn(scene, turn, page, pages, way or Intent("back"), search=way is None and len(offers) > per_page)


def _narrowed(scene: Scene, view: SessionView) -> list[DocumentOffer]:
    """Return the documents that pass the filter, in the shop's own order."""
    place = scene.place
    offers = found(scene.words, view.offers, place.query) if place.query else view.offers
    offers = tuple(offer for offer in offers if place.country is None or offer.country == place.country)
    return [offer for offer in offers if place.kind is None or place.kind in offer.kinds]


def _filter_panel(place: PanelPlace) -> PanelPlace | None:
    """Return the panel in which the filter was chosen, or None without a filter."""
    if place.query:
        return PanelPlace("search", query=place.query)
    return PanelPlace("countries") if place.country else PanelPlace("kinds") if place.kind else None


def paint_countries(scene: Scene, view: SessionView) -> None:
    """Draw the countries that have a document here, sorted by name."""
    tr = scene.words.tr
    area = scene.area
    emblem_card(scene, heading(scene, area.shown, tr("choose.country")), emblems.papers)
    footer(scene, area)
    codes = {offer.country for offer in view.offers if offer.country is not None}
    named = sorted(((scene.words.country(code), code) for code in codes), key=lambda pair: folded(pair[0]))
    _names(scene, [(name, PanelPlace(country=code)) for name, code in named])


def paint_kinds(scene: Scene, view: SessionView) -> None:
    """Draw the kinds of document on offer, sorted by name."""
    area = scene.area
    emblem_card(scene, heading(scene, area.shown, scene.words.tr("choose.kind")), emblems.papers)
    footer(scene, area)
    kinds = {kind for offer in view.offers for kind in offer.kinds}
    named = sorted(((scene.words.tr(f"document.{kind}"), kind) for kind in kinds), key=lambda pair: folded(pair[0]))
    _names(scene, [(name[:1].upper() + name[1:], PanelPlace(kind=kind)) for name, kind in named])


def _names(scene: Scene, named: list[tuple[str, PanelPlace]]) -> None:
    """Draw a page of names to choose from."""
    list_area, turn = cut_bottom(scene.area.controls, TURN_HEIGHT)
    down = int((list_area.height + 16) // (COUNTRY_HEIGHT + 16))
    cells = grid(list_area, COUNTRIES_ACROSS, down, 16)
    page, pages = _page(scene.place.page, len(named), len(cells))
    for cell, (name, where) in zip(cells, named[page * len(cells) :], strict=False):
        button(scene, cell, name, where)
    _turn(scene, turn, page, pages, PanelPlace("search"), search=False)


def _list(scene: Scene, lines: list[Rect], offers: Sequence[DocumentOffer]) -> None:
    titles = [document_title(scene.words, offer) for offer in offers]
    scale, room = scene.scale(theme.NAME), lines[0].height - 8 - scene.high(DETAIL_HEIGHT)
    scale = largest_common(titles, lines[0].width - 48 - SIGN_WIDTH, room, scale, Style(theme.TEXT))
    for line, offer, title in zip(lines, offers, titles, strict=False):
        drawing = partial(document_sign, scene, offer)
        list_row(scene, line, title, document_detail(scene.words, offer), Intent("choose", offer.id), scale, drawing)


def _turn(scene: Scene, rect: Rect, page: int, pages: int, leave: UserAct, *, search: bool) -> None:
    """Draw the buttons for back, search and next."""
    tr, place = scene.words.tr, scene.place
    back, middle, more = columns(rect, 3)
    turned = replace(place, page=page - 1)
    button(scene, back, tr("button.previous" if page else "button.back"), turned if page else leave)
    if search:
        button(scene, middle, tr("button.search"), PanelPlace("search"))
    elif pages > 1:
        scene.text(middle, tr("choose.page", page=page + 1, pages=pages), theme.BODY, theme.MUTED, align="centre")
    if page + 1 < pages:
        button(scene, more, tr("button.next"), replace(place, page=page + 1))


def _page(wanted: int, count: int, per_page: int) -> tuple[int, int]:
    pages = max(-(-count // per_page), 1)
    return min(wanted, pages - 1), pages
