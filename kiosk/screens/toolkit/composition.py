"""What every screen begins with: a heading at the start edge, and a card with a picture in the room that is left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from kiosk.core.base.geometry import Rect
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_top, square
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.text import Settled, Style, fit

TITLE_SHARE = 0.62
"""How much of the room a title may take if its text has to fit below it."""
TITLE_GAP, TEXT_GAP = 16.0, 28.0
"""Below a title, and below its text."""
CARD_RADIUS = 36.0
LEAST_CARD = 190.0
"""Below this height a picture would say nothing, and the room stays empty."""
EMBLEM = 0.74
"""The side of a drawing on its card, as a share of the card's shorter side."""
LARGEST_EMBLEM = 460.0


def heading(scene: Scene, rect: Rect, title: str, text: str = "") -> Rect:
    """Write a title and what it needs to say besides, and return the room below; larger text enlarges the latter."""
    room, _ = cut_top(rect, rect.height * (TITLE_SHARE if text else 1.0), 0)
    used = scene.text(room, title, _on_fewest_lines(title, room), bold=True, stand="top")
    _, below = cut_top(rect, used.height, TITLE_GAP)
    if not text:
        return cut_top(below, 0, 12)[1]
    used = scene.text(below, text, theme.BODY, theme.MUTED, stand="top")
    return cut_top(below, used.height, TEXT_GAP)[1]


def height_below(scene: Scene, rect: Rect, title: str, text: str, other: str, width: float) -> float:
    """Return the height that another sentence takes below a heading, if both are as large as the room permits."""
    style = Style(theme.TEXT)
    used = fit(title, rect.width, rect.height, _on_fewest_lines(title, rect), replace(style, bold=True)).height
    left, least = rect.height - used - TITLE_GAP - TEXT_GAP, 0.0
    for size in scene.scale(theme.BODY):
        above = fit(text, rect.width, rect.height, (size,), style).height
        least = fit(other, width, rect.height, (size,), style).height
        if above + least <= left:
            break
    return least


def _on_fewest_lines(title: str, room: Rect) -> Settled:
    """Return the largest size at which a title has no more lines than in the smallest."""
    style = Style(theme.TEXT, bold=True)
    blocks = [fit(title, room.width, room.height, (size,), style) for size in theme.HEADING]
    fewest = round(blocks[-1].height / blocks[-1].size, 2)
    return Settled((next(s for s, b in zip(theme.HEADING, blocks, strict=True) if b.height / b.size <= fewest + 0.1),))


def card(scene: Scene, rect: Rect) -> Rect:
    """Draw the card on which a picture stands, and return the room in it."""
    scene.fill(rect, theme.SURFACE, CARD_RADIUS)
    return rect.inset(32, 28, 32, 28)


def emblem_card(scene: Scene, rect: Rect, draw: Callable[[Scene, Rect], None]) -> None:
    """Draw an emblem in the middle of a card, if there is room for one."""
    if rect.height >= LEAST_CARD:
        room = card(scene, rect)
        draw(scene, square(room, min(LARGEST_EMBLEM, EMBLEM * min(rect.width, rect.height))))


def with_lines(scene: Scene, rect: Rect, lines: Rect) -> Rect:
    """Return the room of a picture with that of the lines below it, on a screen that has none to say."""
    return rect.around(lines) if scene.is_portrait and lines.height > 0 else rect
