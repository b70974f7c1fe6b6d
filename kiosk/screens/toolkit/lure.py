"""Something to look at for a small child: a bird at the lens that sways, hops and looks about; it never flashes."""

from __future__ import annotations

import math

import skia

from kiosk.core.base.geometry import Rect
from kiosk.screens.toolkit.layout import square
from kiosk.screens.toolkit.scene import skia_rect
from kiosk.screens.toolkit.theme import ThemeColour

SIDE, TAB = 132.0, 320.0
"""The side of the bird's square, and the length of the tab beside it while it counts, in design pixels."""
SWAY_S, HOP_S, FLAP_S = 3.2, 1.6, 0.8
"""The periods of its movements, all slower than three a second (WCAG 2.2, 2.3.1)."""
SWAY, HOP, LEAN_DEG = 14.0, 12.0, 7.0
BODY, WING = ThemeColour(0xFF, 0xC8, 0x4A), ThemeColour(0xF2, 0x9A, 0x2E)
BEAK, EYE, WHITE = ThemeColour(0xE8, 0x5D, 0x3A), ThemeColour(0x1B, 0x1B, 0x1F), ThemeColour(0xFF, 0xFF, 0xFF)


def beside_lure(strip: Rect) -> Rect:
    """Return the part of the strip at the lens that the bird leaves to the tab."""
    room = SIDE / 2 + 2 * SWAY
    if strip.width > strip.height:
        return Rect(strip.centre.x + room, strip.y, min(TAB, strip.width / 2 - room), strip.height)
    return Rect(strip.x, strip.centre.y + room, strip.width, min(TAB, strip.height / 2 - room))


def lure(canvas: skia.Canvas, strip: Rect, now_s: float) -> None:
    """Draw the bird in the middle of the strip at the lens; at 0 s it sits still."""
    box = square(strip, SIDE)
    sway, hop = math.sin(math.tau * now_s / SWAY_S), abs(math.sin(math.tau * now_s / (2 * HOP_S)))
    lies = strip.width > strip.height
    canvas.save()
    canvas.clipRect(skia_rect(strip))
    canvas.translate(box.x + (sway * SWAY if lies else 0), box.y + 12 - hop * HOP + (0 if lies else sway * SWAY))
    canvas.scale(SIDE / 100, SIDE / 100)
    canvas.rotate(LEAN_DEG * sway, 50, 90)
    _bird(canvas, look=3 * sway, flap=math.sin(math.tau * now_s / FLAP_S) if now_s else 0.0)
    canvas.restore()


def _bird(canvas: skia.Canvas, look: float, flap: float) -> None:
    def oval(x: float, y: float, half_width: float, half_height: float, colour: ThemeColour) -> None:
        shape = skia.Rect.MakeLTRB(x - half_width, y - half_height, x + half_width, y + half_height)
        canvas.drawOval(shape, skia.Paint(AntiAlias=True, Color=colour.argb))

    legs = skia.Paint(AntiAlias=True, Color=BEAK.argb, StrokeWidth=5, StrokeCap=skia.Paint.kRound_Cap)
    for x in (42, 58):
        canvas.drawLine(x, 80, x, 92, legs)
    tuft = skia.Paint(AntiAlias=True, Color=WING.argb, StrokeWidth=5, StrokeCap=skia.Paint.kRound_Cap)
    for x in (42, 50, 58):
        canvas.drawLine(50, 22, x, 9, tuft)
    oval(50, 52, 35, 33, BODY)
    for side in (-1, 1):
        canvas.save()
        canvas.rotate(side * (18 + 14 * flap), 50 + side * 30, 46)
        oval(50 + side * 33, 58, 8, 17, WING)
        canvas.restore()
        oval(50 + side * 14, 44, 10, 11, WHITE)
        oval(50 + side * 14 + look, 45, 5, 6, EYE)
        oval(50 + side * 14 + look + 2, 43, 1.8, 1.8, WHITE)
    beak = skia.Path()
    beak.moveTo(42, 55)
    beak.lineTo(58, 55)
    beak.lineTo(50, 67)
    beak.close()
    canvas.drawPath(beak, skia.Paint(AntiAlias=True, Color=BEAK.argb))
