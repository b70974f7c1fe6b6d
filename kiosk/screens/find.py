"""Find: a guest looks for their own name, letter by letter, with the letters that lead somewhere and no others."""

from __future__ import annotations

from kiosk.core.geometry import Rect
from kiosk.core.view import Guest, Intent, SessionView
from kiosk.screens import theme
from kiosk.screens.layout import cut_bottom, cut_start, cut_top, grid, rows
from kiosk.screens.scene import Place, Scene
from kiosk.screens.text import Style, largest_common
from kiosk.screens.widgets import DETAIL_HEIGHT, button, footer, list_row, note

KEY_HEIGHT, KEY_GAP = 100.0, 12.0
KEYS_ACROSS = 7
GUEST_HEIGHT, GUEST_GAP = 124.0, 10.0
TYPED_HEIGHT = 110.0
CARET = "▏"


def paint(scene: Scene, view: SessionView) -> None:
    """Lay out the names that fit, and the letters with which they go on."""
    tr = scene.words.tr
    area = scene.area
    title, below = cut_top(area.shown, 110, 8)
    typed, guests = cut_top(below, TYPED_HEIGHT, 16)
    scene.text(title, tr("find.title"), theme.TITLE, bold=True, align="centre")
    _typed(scene, typed, view)
    _guests(scene, guests, view)
    keys, turn = cut_bottom(area.controls, KEY_HEIGHT, 16)
    _keys(scene, keys, turn, view)
    footer(scene, area)


def _typed(scene: Scene, rect: Rect, view: SessionView) -> None:
    scene.fill(rect, theme.SURFACE)
    inner = rect.inset(28, 4, 28, 4)
    if view.search.query:
        words = scene.words.own(view.search.query.upper()) + CARET
        scene.text(inner, words, theme.INSTRUCTION, bold=True)
    else:
        scene.text(inner, scene.words.tr("find.text"), theme.BODY, theme.MUTED)


def _guests(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Draw who fits, or why there is nobody, or why the last badge was not printed."""
    tr, search = scene.words.tr, view.search
    first = cut_top(rect, min(rect.height, 150))[0]
    if view.fault[0]:
        note(scene, first, "attention", tr("find.refused"), theme.GUIDE)
        return
    if search.query and not search.guests and not search.letters:
        note(scene, first, "attention", tr("find.nobody"), theme.GUIDE)
        return
    height = scene.high(GUEST_HEIGHT)
    down = max(1, int((rect.height + GUEST_GAP) // (height + GUEST_GAP)))
    shown = search.guests[:down]
    cells = rows(cut_top(rect, down * (height + GUEST_GAP) - GUEST_GAP)[0], down, GUEST_GAP)
    names = [scene.words.own(guest.name) for guest in shown]
    room = height - 8 - scene.high(DETAIL_HEIGHT)
    scale = largest_common(names, rect.width - 48, room, scene.scale(theme.NAME), Style(theme.TEXT))
    for cell, guest, name in zip(cells, shown, names, strict=False):
        list_row(scene, cell, name, _detail(scene, guest), Intent("guest", guest.id), scale)


def _detail(scene: Scene, guest: Guest) -> str:
    parts = [scene.words.own(guest.detail)] if guest.detail else []
    if guest.has_badge:
        parts.append(scene.words.tr("find.has_badge"))
    return " · ".join(parts)


def _keys(scene: Scene, rect: Rect, turn: Rect, view: SessionView) -> None:
    """Draw a page of letters, and below it the way back, the space, the next page, and the last letter taken back."""
    tr, search, place = scene.words.tr, view.search, scene.place
    letters = [letter for letter in search.letters if letter != " "]
    down = max(1, int((rect.height + KEY_GAP) // (KEY_HEIGHT + KEY_GAP)))
    cells = grid(cut_top(rect, down * (KEY_HEIGHT + KEY_GAP) - KEY_GAP)[0], KEYS_ACROSS, down, KEY_GAP)
    pages = max(1, -(-len(letters) // len(cells)))
    page = min(place.page, pages - 1)
    shown = letters[page * len(cells) : (page + 1) * len(cells)]
    for cell, letter in zip(cells, shown, strict=False):
        button(scene, cell, scene.words.own(letter.upper()), Intent("type", letter))
    back, middle = cut_start(turn, turn.width * 0.3)
    space, erase = cut_start(middle, (middle.width - theme.GAP) / 2)
    if page:
        button(scene, back, tr("button.previous"), Place(place.panel, page - 1))
    else:
        button(scene, back, tr("button.back"), Intent("back"))
    if " " in search.letters:
        button(scene, space, tr("button.space"), Intent("type", " "))
    elif page + 1 < pages:
        button(scene, space, tr("button.next"), Place(place.panel, page + 1))
    if search.query:
        button(scene, erase, tr("button.erase"), Intent("erase"))
