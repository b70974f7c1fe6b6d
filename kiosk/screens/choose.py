"""Choose: the shop's documents a page at a time, or all those of one country."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from kiosk.core.geometry import Rect
from kiosk.core.view import Intent, Offer, SessionView
from kiosk.screens import emblems, theme
from kiosk.screens.layout import columns, cut_bottom, cut_top, grid, rows, square
from kiosk.screens.scene import Act, Place, Scene
from kiosk.screens.text import Style, largest_common
from kiosk.screens.widgets import DETAIL_HEIGHT, button, document_detail, document_title, footer, list_row

ROW_HEIGHT = 146.0
ROW_GAP = 12.0
TURN_HEIGHT = 104.0
COUNTRIES_ACROSS, COUNTRY_HEIGHT = 2, 108.0


def paint(scene: Scene, view: SessionView) -> None:
    """Lay out the list of documents."""
    tr = scene.words.tr
    area = scene.area
    _heading(scene, area.shown, tr("choose.title"), tr("choose.text"))
    footer(scene, area)
    country = scene.place.country
    offers = [offer for offer in view.offers if country is None or offer.country == country]
    if not offers:
        scene.text(area.controls, tr("choose.empty"), theme.BODY)
        return
    list_area, turn = cut_bottom(area.controls, TURN_HEIGHT, 16)
    per_page = int((list_area.height + ROW_GAP) // (scene.high(ROW_HEIGHT) + ROW_GAP))
    page, pages = _page(scene.place.page, len(offers), per_page)
    _list(scene, rows(list_area, per_page, ROW_GAP), offers[page * per_page : (page + 1) * per_page])
    leave: Act = Intent("back") if country is None else Place("countries")
    _turn(scene, turn, page, pages, leave, by_country=country is None and len(offers) > per_page)


def paint_countries(scene: Scene, view: SessionView) -> None:
    """Lay out the countries that have a document here, in the order of their names."""
    tr = scene.words.tr
    area = scene.area
    _heading(scene, area.shown, tr("choose.country"), "")
    footer(scene, area)
    codes = {offer.country for offer in view.offers if offer.country is not None}
    named = sorted(((scene.words.country(code), code) for code in codes), key=lambda pair: _sorting(pair[0]))
    list_area, turn = cut_bottom(area.controls, TURN_HEIGHT)
    down = int((list_area.height + 16) // (COUNTRY_HEIGHT + 16))
    cells = grid(list_area, COUNTRIES_ACROSS, down, 16)
    page, pages = _page(scene.place.page, len(named), len(cells))
    shown = named[page * len(cells) : (page + 1) * len(cells)]
    for cell, (name, code) in zip(cells, shown, strict=False):
        button(scene, cell, name, Place(country=code))
    _turn(scene, turn, page, pages, Place(), by_country=False)


def _heading(scene: Scene, rect: Rect, title: str, text: str) -> None:
    sign, words = cut_top(rect, rect.height * scene.share(0.42), 28)
    emblems.papers(scene, square(sign, min(sign.height, 340)))
    upper, lower = cut_top(words, words.height * 0.52, 16)
    scene.text(upper, title, theme.INSTRUCTION, bold=True, align="centre", stand="bottom" if text else "top")
    if text:
        scene.text(lower, text, theme.BODY, theme.MUTED, align="centre", stand="top")


def _list(scene: Scene, lines: list[Rect], offers: Sequence[Offer]) -> None:
    titles = [document_title(scene.words, offer) for offer in offers]
    scale, room = scene.scale(theme.NAME), lines[0].height - 8 - scene.high(DETAIL_HEIGHT)
    scale = largest_common(titles, lines[0].width - 48, room, scale, Style(theme.TEXT))
    for line, offer, title in zip(lines, offers, titles, strict=False):
        list_row(scene, line, title, document_detail(scene.words, offer), Intent("choose", offer.id), scale)


def _turn(scene: Scene, rect: Rect, page: int, pages: int, leave: Act, *, by_country: bool) -> None:
    """Draw the way back, the way by country, and the way on."""
    tr, place = scene.words.tr, scene.place
    back, middle, more = columns(rect, 3)
    turned = Place(place.panel, page - 1, place.country)
    button(scene, back, tr("button.previous" if page else "button.back"), turned if page else leave)
    if by_country:
        button(scene, middle, tr("button.countries"), Place("countries"))
    elif pages > 1:
        scene.text(middle, tr("choose.page", page=page + 1, pages=pages), theme.BODY, theme.MUTED, align="centre")
    if page + 1 < pages:
        button(scene, more, tr("button.next"), Place(place.panel, page + 1, place.country))


def _page(wanted: int, count: int, per_page: int) -> tuple[int, int]:
    pages = max(-(-count // per_page), 1)
    return min(wanted, pages - 1), pages


def _sorting(name: str) -> str:
    """Return a name as it is sorted: without case, marks and isolates."""
    bare = (
        letter for letter in unicodedata.normalize("NFKD", name) if unicodedata.category(letter) not in ("Mn", "Cf")
    )
    return "".join(bare).casefold()
