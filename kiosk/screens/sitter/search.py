"""Search: documents by the first letters of their country or kind, in the sitter's language and script."""

from __future__ import annotations

from functools import partial

from kiosk.core.base.geometry import Rect
from kiosk.core.view.choice import DocumentOffer
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.composition import emblem_card, heading
from kiosk.screens.toolkit.document_signs import document_sign
from kiosk.screens.toolkit.layout import columns, cut_bottom, cut_top, rows
from kiosk.screens.toolkit.letter_keys import KEY_HEIGHT, TYPED_HEIGHT, begins, folded, keys, leading_on, nobody, typed
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

ROW_HEIGHT, ROW_GAP = 132.0, 10.0
WAYS_HEIGHT = 108.0
ROWS_SHOWN = 2


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the letters typed so far, the documents that match, and the letters that can follow."""
    tr, area, query = scene.words.tr, scene.area, scene.place.query
    title, line = cut_bottom(area.shown, TYPED_HEIGHT)
    emblem_card(scene, heading(scene, title, tr("choose.search")), emblems.papers)
    offers = found(scene.words, view.offers, query)
    if offers:
        typed(scene, line, query, tr("choose.search_text"))
    else:
        nobody(scene, line, tr("choose.nothing"))
    choices, turn = cut_bottom(area.controls, KEY_HEIGHT, 16)
    rest = _offers(scene, choices, offers) if query else _alternatives(scene, choices)
    known = {word for offer in view.offers for word in terms(scene.words, offer)}
    last = PanelPlace("search", query=query[:-1]) if query else None
    every: tuple[str, UserAct] | None = None
    if query and len(offers) > ROWS_SHOWN:
        every = (tr("button.next"), PanelPlace(query=query))
    leads = leading_on(query, sorted(known))
    keys(scene, rest, turn, leads, lambda letter: _typed(query + letter), back=PanelPlace(), erase=last, other=every)
    footer(scene, area)


def found(words: Words, offers: tuple[DocumentOffer, ...], query: str) -> tuple[DocumentOffer, ...]:
    """Return the documents whose country or kind starts with the query, in the shop's own order."""
    return tuple(offer for offer in offers if begins(query, terms(words, offer)))


def terms(words: Words, offer: DocumentOffer) -> tuple[str, ...]:
    """Return the folded terms by which a document is found: its country, each word of it, and its kinds."""
    where = folded(words.country(offer.country) if offer.country else words.tr("choose.anywhere"))
    kinds = [folded(words.tr(f"document.{kind}")) for kind in offer.kinds] or [folded(offer.title)]
    parts = where.split()
    return (*(" ".join(parts[start:]) for start in range(len(parts))), *kinds)


def _typed(query: str) -> PanelPlace:
    return PanelPlace("search", query=query)


def _alternatives(scene: Scene, rect: Rect) -> Rect:
    """Draw the lists of countries and kinds as alternatives to typing, and return the room for the letters."""
    tr = scene.words.tr
    ways, left = cut_top(rect, WAYS_HEIGHT, 16)
    by_country, by_kind = columns(ways, 2)
    button(scene, by_country, tr("button.countries"), PanelPlace("countries"))
    button(scene, by_kind, tr("button.kinds"), PanelPlace("kinds"))
    return left


def _offers(scene: Scene, rect: Rect, offers: tuple[DocumentOffer, ...]) -> Rect:
    """Draw the first documents that match, and return the remaining room for the letters."""
    height = scene.high(ROW_HEIGHT)
    shown = offers[: min(ROWS_SHOWN, int((rect.height - KEY_HEIGHT) // (height + ROW_GAP)))]
    if not shown:
        return rect
    listed, left = cut_top(rect, len(shown) * (height + ROW_GAP) - ROW_GAP, 16)
    titles = [document_title(scene.words, offer) for offer in shown]
    room = height - 8 - scene.high(DETAIL_HEIGHT)
    scale = largest_common(titles, rect.width - 48 - SIGN_WIDTH, room, scene.scale(theme.NAME), Style(theme.TEXT))
    for line, offer, title in zip(rows(listed, len(shown), ROW_GAP), shown, titles, strict=True):
        drawing = partial(document_sign, scene, offer)
        list_row(scene, line, title, document_detail(scene.words, offer), Intent("choose", offer.id), scale, drawing)
    return left
