"""The signs that move: how long to hold still, and that the booth is at work."""

from __future__ import annotations

from dataclasses import dataclass

import skia

from kiosk.core.geometry import Rect
from kiosk.core.view import SessionView
from kiosk.screens import theme
from kiosk.screens.figures import FIGURES
from kiosk.screens.pen import Pen
from kiosk.screens.scene import Glass, Picture, skia_rect

TURN_S = 4.0
"""A turn of the waiting ring; slow, so that nothing on the screen hurries or flashes."""


@dataclass(frozen=True, slots=True)
class HoldRing:
    """A figure inside a thick ring that fills while the sitter holds still."""

    rect: Rect
    figure: str

    def paint(self, glass: Glass, view: SessionView, frame_rgb: Picture | None) -> None:
        """Paint the ring at the view's hold fraction."""
        fraction = 1.0 if view.state == "shooting" else view.hold_fraction
        _clear(glass.canvas, self.rect)
        _arc(glass.canvas, self.rect, theme.LINE, 6, 0, 360)
        _arc(glass.canvas, self.rect, theme.GOOD, 20, -90, 360 * fraction)
        _figure(glass.canvas, self.rect, self.figure)


@dataclass(frozen=True, slots=True)
class WaitRing:
    """A figure inside a ring of which a quarter goes round."""

    rect: Rect
    figure: str

    def paint(self, glass: Glass, view: SessionView, frame_rgb: Picture | None) -> None:
        """Paint the ring as far round as the time in this state."""
        turn = (view.now_s - view.since_s) / TURN_S % 1.0
        _clear(glass.canvas, self.rect)
        _arc(glass.canvas, self.rect, theme.LINE, 6, 0, 360)
        _arc(glass.canvas, self.rect, theme.FOCUS, 20, 360 * turn - 90, 90)
        _figure(glass.canvas, self.rect, self.figure)


@dataclass(frozen=True, slots=True)
class CountRing:
    """A ring that empties with the time left."""

    rect: Rect
    whole_s: float

    def paint(self, glass: Glass, view: SessionView, frame_rgb: Picture | None) -> None:
        """Paint what is left."""
        _clear(glass.canvas, self.rect)
        _arc(glass.canvas, self.rect, theme.LINE, 6, 0, 360)
        _arc(glass.canvas, self.rect, theme.GUIDE, 20, -90, 360 * min((view.time_left_s or 0.0) / self.whole_s, 1.0))


def _clear(canvas: skia.Canvas, rect: Rect) -> None:
    canvas.drawRect(skia_rect(rect), skia.Paint(Color=theme.INK.argb))


def _arc(canvas: skia.Canvas, rect: Rect, colour: theme.Colour, width: float, start_deg: float, sweep: float) -> None:
    paint = skia.Paint(
        AntiAlias=True,
        Color=colour.argb,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=width,
        StrokeCap=skia.Paint.kRound_Cap,
    )
    inner = rect.inset(12, 12, 12, 12)
    if sweep >= 360:
        canvas.drawOval(skia_rect(inner), paint)
    elif sweep > 0:
        canvas.drawArc(skia_rect(inner), start_deg, sweep, False, paint)


def _figure(canvas: skia.Canvas, rect: Rect, name: str) -> None:
    margin = rect.width * 0.24
    with Pen(canvas, rect.inset(margin, margin, margin, margin), theme.TEXT, 6).in_box() as pen:
        FIGURES[name](pen)
