"""A number pad with ten digits, an erase key and an enter key, for a PIN or a number."""

from __future__ import annotations

from kiosk.core.base.geometry import Rect
from kiosk.core.view.attendant import DeskIntent
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import grid
from kiosk.screens.toolkit.scene import Scene

KEYS = ("1", "2", "3", "4", "5", "6", "7", "8", "9", "erase", "0", "enter")
DIGIT: theme.TypeScale = (72, 64, 58)


def number_pad(scene: Scene, rect: Rect, done: str, *, enabled: bool = True) -> None:
    """Draw the pad; the keys of a disabled one are dim and have no effect."""
    for cell, key in zip(grid(rect, 3, 4, 16), KEYS, strict=True):
        is_main = key == "enter" and enabled
        scene.fill(cell, theme.GUIDE if is_main else theme.RAISED if enabled else theme.SURFACE)
        if not is_main:
            scene.outline(cell, theme.LINE, 3)
        label = {"erase": "Erase", "enter": done}.get(key, key)
        colour = theme.INK if is_main else theme.TEXT if enabled else theme.LINE
        scale = DIGIT if len(label) == 1 else theme.BODY
        scene.text(cell.inset(12, 4, 12, 4), label, scale, colour, bold=True, align="centre")
        if enabled:
            scene.touch(cell, _order(key))


def _order(key: str) -> DeskIntent:
    match key:
        case "erase":
            return DeskIntent("erase")
        case "enter":
            return DeskIntent("enter")
    return DeskIntent("digit", key)
