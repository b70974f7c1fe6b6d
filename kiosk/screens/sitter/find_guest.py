"""Find: a guest holds a code up, or searches for their name with keys that only show letters with a match."""

from __future__ import annotations

from kiosk.core.base.geometry import Rect
from kiosk.core.view.choice import Guest
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.sitter.code_picture import CodePicture
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.composition import heading
from kiosk.screens.toolkit.layout import cut_bottom, cut_top, rows
from kiosk.screens.toolkit.letter_keys import KEY_HEIGHT, TYPED_HEIGHT, keys, nobody, typed
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.text import Style, largest_common
from kiosk.screens.toolkit.widgets import DETAIL_HEIGHT, footer, list_row

GUEST_HEIGHT, GUEST_GAP = 124.0, 10.0
GUESTS_SHOWN = 3


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the letters typed so far, the names that match, and the letters that can follow."""
    area = scene.area
    title, typed = cut_bottom(area.shown, TYPED_HEIGHT)
    picture = heading(scene, title, scene.words.tr("find.title"))
    scene.moving.append(CodePicture(scene.at(picture)))
    _typed(scene, typed, view)
    choices, turn = cut_bottom(area.controls, KEY_HEIGHT, 16)
    keys(
        scene,
        _guests(scene, choices, view),
        turn,
        view.event.search.letters,
        lambda letter: Intent("type", letter),
        back=Intent("back"),
        erase=Intent("erase") if view.event.search.query else None,
    )
    footer(scene, area)


def _typed(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Write the letters typed so far, an invitation, or why the last badge was not printed."""
    tr, search = scene.words.tr, view.event.search
    if view.fault[0]:
        nobody(scene, rect, tr("find.refused"))
    elif search.unknown_code:
        nobody(scene, rect, tr("find.unknown_code"))
    elif search.query and not (search.guests or search.letters):
        nobody(scene, rect, tr("find.nobody"))
    else:
        typed(scene, rect, search.query, tr("find.text"))


def _guests(scene: Scene, rect: Rect, view: SessionView) -> Rect:
    """Draw the guests that match, and return the remaining room for the letters."""
    height = scene.high(GUEST_HEIGHT)
    shown = view.event.search.guests[: min(GUESTS_SHOWN, int((rect.height - KEY_HEIGHT) // (height + GUEST_GAP)))]
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
    return scene.words.joined(*parts) if parts else ""
