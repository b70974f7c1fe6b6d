"""The tab at the picture's edge that points to the lens, with the count beside it."""

from __future__ import annotations

import math

import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.view.align import LensPlace
from kiosk.screens.toolkit.layout import square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.text import Style, fit
from kiosk.screens.toolkit.theme import ThemeColour

STRIP, LURE_STRIP = 76.0, 168.0
"""The width of the strip beside the picture that the tab takes, in design pixels."""
DISC = 64.0
COUNT = 3
"""From which number the shot is counted down while the sitter holds still."""
_TURNS_DEG = {"above": 0.0, "right": 90.0, "below": 180.0, "left": 270.0}


def beside_lens(panel: Rect, lens: LensPlace, *, is_lured: bool = False) -> tuple[Rect, Rect]:
    """Part a panel into the picture and the strip at the edge where the lens is, wider where a child is lured."""
    wide = LURE_STRIP if is_lured else STRIP
    x, y, width, height = panel.x, panel.y, panel.width, panel.height
    match lens:
        case "above":
            return panel.inset(0, wide, 0, 0), Rect(x, y, width, wide)
        case "below":
            return panel.inset(0, 0, 0, wide), Rect(x, panel.bottom - wide, width, wide)
        case "left":
            return panel.inset(wide, 0, 0, 0), Rect(x, y, wide, height)
    return panel.inset(0, 0, wide, 0), Rect(panel.right - wide, y, wide, height)


def counted(hold_fraction: float) -> int:
    """Return the number to show, from `COUNT` to 1; 0 while nothing is counted."""
    return 0 if hold_fraction <= 0 else max(COUNT - math.floor(hold_fraction * COUNT), 1)


def tab(
    canvas: skia.Canvas, strip: Rect, lens: LensPlace, count: int, colours: tuple[ThemeColour, ThemeColour]
) -> None:
    """Draw a chevron towards the lens and, while it is counted, the numbers after it; the current one on a disc.

    Parameters
    ----------
    colours
        Of the ground and of what is drawn on it.
    """
    ground, ink = colours
    lies = strip.width > strip.height
    numbers = list(range(COUNT, 0, -1)) if count else []
    step = DISC + 16.0
    length = DISC + len(numbers) * step
    start = (strip.centre.x if lies else strip.centre.y) - length / 2

    def at(index: int) -> Rect:
        middle = start + DISC / 2 + index * step
        x, y = (middle, strip.centre.y) if lies else (strip.centre.x, middle)
        return square(Rect(x, y, 0, 0), DISC)

    with Pen(canvas, at(0), ink, 14) as pen, pen.turned(_TURNS_DEG[lens]):
        pen.line((18, 66), (50, 32), (82, 66))
    for index, number in enumerate(numbers, 1):
        place = at(index)
        colour = ink
        if number == count:
            canvas.drawOval(
                skia.Rect.MakeXYWH(place.x, place.y, DISC, DISC), skia.Paint(AntiAlias=True, Color=ink.argb)
            )
            colour = ground
        block = fit(str(number), DISC, DISC, (46,), Style(colour, bold=True, align="centre"))
        block.paint(canvas, place.x, place.y + (DISC - block.height) / 2)
