"""Find: a guest holds a code up, or looks for their name with the letters that lead somewhere and no others."""

from __future__ import annotations

from kiosk.core.geometry import Rect
from kiosk.core.view import Guest, Intent, SessionView
from kiosk.screens import theme
from kiosk.screens.code_picture import CodePicture
from kiosk.screens.layout import columns, cut_bottom, cut_top, grid, rows
from kiosk.screens.scene import Place, Scene
from kiosk.screens.text import Style, largest_common
from kiosk.screens.widgets import DETAIL_HEIGHT, button, footer, list_row, note

KEY_HEIGHT, KEY_GAP = 100.0, 12.0
KEYS_ACROSS = 7
GUEST_HEIGHT, GUEST_GAP = 124.0, 10.0
GUESTS_SHOWN = 3
TYPED_HEIGHT = 150.0
CARET = "▏"


def paint(scene: Scene, view: SessionView) -> None:
    """Lay out the letters so far above, and below the names that fit with the letters that go on."""
    area = scene.area
    title, typed = cut_bottom(area.shown, TYPED_HEIGHT)
    picture, words = cut_top(title, title.height * scene.share(0.55), 20)
    scene.moving.append(CodePicture(scene.at(picture)))
    scene.text(words, scene.words.tr("find.title"), theme.INSTRUCTION, bold=True, align="centre")
    _typed(scene, typed, view)
    choices, turn = cut_bottom(area.controls, KEY_HEIGHT, 16)
    _keys(scene, _guests(scene, choices, view), turn, view)
    footer(scene, area)


def _typed(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Write the letters so far, or what is to be done, or why the last badge was not printed."""
    tr, search = scene.words.tr, view.search
    if view.fault[0]:
        note(scene, rect, "attention", tr("find.refused"), theme.GUIDE)
    elif search.unknown_code:
        note(scene, rect, "attention", tr("find.unknown_code"), theme.GUIDE)
    elif search.query and not (search.guests or search.letters):
        note(scene, rect, "attention", tr("find.nobody"), theme.GUIDE)
    elif search.query:
        scene.fill(rect, theme.SURFACE)
        words = scene.words.own(search.query.upper()) + CARET
        scene.text(rect.inset(28, 4, 28, 4), words, theme.TITLE, bold=True)
    else:
        scene.text(rect, tr("find.text"), theme.BODY, theme.MUTED, align="centre")


def _guests(scene: Scene, rect: Rect, view: SessionView) -> Rect:
    """Draw who fits, and return the room that is left for the letters."""
    height = scene.high(GUEST_HEIGHT)
    shown = view.search.guests[: min(GUESTS_SHOWN, int((rect.height - KEY_HEIGHT) // (height + GUEST_GAP)))]
    if not shown:
        return rect
    taken = len(shown) * (height + GUEST_GAP) - GUEST_GAP
    listed, left = cut_top(rect, taken, 20)
    names = [scene.words.own(guest.name) for guest in shown]
    room = height - 8 - scene.high(DETAIL_HEIGHT)
    scale = largest_common(names, rect.width - 48, room, scene.scale(theme.NAME), Style(theme.TEXT))
    for cell, guest, name in zip(rows(listed, len(shown), GUEST_GAP), shown, names, strict=True):
        list_row(scene, cell, name, _detail(scene, guest), Intent("guest", guest.id), scale)
    return left


def _detail(scene: Scene, guest: Guest) -> str:
    parts = [scene.words.own(guest.detail)] if guest.detail else []
    if guest.has_badge:
        parts.append(scene.words.tr("find.has_badge"))
    return " · ".join(parts)


def _keys(scene: Scene, rect: Rect, turn: Rect, view: SessionView) -> None:
    """Draw a page of letters, and below it the way back, the space or the next page, and the last letter taken back."""
    tr, search, place = scene.words.tr, view.search, scene.place
    letters = [letter for letter in search.letters if letter != " "]
    down = max(1, int((rect.height + KEY_GAP) // (KEY_HEIGHT + KEY_GAP)))
    cells = grid(cut_top(rect, down * (KEY_HEIGHT + KEY_GAP) - KEY_GAP)[0], KEYS_ACROSS, down, KEY_GAP)
    pages = max(1, -(-len(letters) // len(cells)))
    page = min(place.page, pages - 1)
    shown = letters[page * len(cells) : (page + 1) * len(cells)]
    for cell, letter in zip(cells, shown, strict=False):
        button(scene, cell, scene.words.own(letter.upper()), Intent("type", letter))
    back, middle, erase = columns(turn, 3)
    if page:
        button(scene, back, tr("button.previous"), Place(place.panel, page - 1))
    else:
        button(scene, back, tr("button.back"), Intent("back"))
    if page + 1 < pages:
        button(scene, middle, tr("button.next"), Place(place.panel, page + 1))
    elif " " in search.letters:
        button(scene, middle, tr("button.space"), Intent("type", " "))
    if search.query:
        button(scene, erase, tr("button.erase"), Intent("erase"))
