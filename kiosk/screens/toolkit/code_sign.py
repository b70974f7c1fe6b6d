"""A QR code on the screen: dark on white in every theme, as phones expect it, with its quiet zone (ISO/IEC 18004)."""

from __future__ import annotations

from functools import lru_cache

import segno
import skia

from kiosk.core.base.geometry import Rect
from kiosk.screens.toolkit.layout import square
from kiosk.screens.toolkit.scene import Scene, skia_rect

QUIET_MODULES = 4
"""Modules of white on every side of a code (ISO/IEC 18004, 5.3.8, from memory)."""
LEVEL = "m"
"""The level of error correction, about 15 %: a screen mirrors lamps."""


def code_sign(scene: Scene, rect: Rect, text: str) -> None:
    """Draw the code of a text as large as its box permits."""
    matrix = _matrix(text)
    modules = len(matrix) + 2 * QUIET_MODULES
    box = scene.at(square(rect, min(rect.width, rect.height)))
    side = box.width / modules
    scene.canvas.drawRoundRect(skia_rect(box), side, side, skia.Paint(AntiAlias=True, Color=skia.ColorWHITE))
    ink, path = skia.Paint(AntiAlias=True, Color=skia.ColorBLACK), skia.Path()
    for row, line in enumerate(matrix, QUIET_MODULES):
        for column, is_dark in enumerate(line, QUIET_MODULES):
            if is_dark:
                path.addRect(skia.Rect.MakeXYWH(box.x + column * side, box.y + row * side, side, side))
    scene.canvas.drawPath(path, ink)


@lru_cache(maxsize=1)
def _matrix(text: str) -> tuple[bytearray, ...]:
    return segno.make_qr(text, error=LEVEL).matrix
