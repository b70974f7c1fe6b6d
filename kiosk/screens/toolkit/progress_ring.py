"""Moving rings: how long to hold still, that the booth is working, and how much time is left."""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass
from typing import ClassVar

import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.instruction_figures import FIGURES
from kiosk.screens.toolkit.lens_tab import COUNT
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.scene import Glass, Scene, ScenePicture, skia_rect

TURN_S = 4.0
"""The period of the waiting ring, slow enough not to hurry the sitter or to flash."""

INSET = 12.0
WIDTH = 20.0


@dataclass(frozen=True, slots=True)
class HoldRing:
    """A ring that fills while the sitter holds still."""

    rect: Rect
    opaque: ClassVar[bool] = False

    def beat(self, view: SessionView) -> Hashable:
        """Return the part of the ring that is full."""
        return _held(view)

    def paint(self, glass: Glass, view: SessionView, frame_rgb: ScenePicture | None) -> None:
        """Paint the view's hold fraction; the ring is full at the moment of the shot."""
        _arc(glass.canvas, self.rect, _colour(theme.GOOD, view), -90, 360 * _held(view))


@dataclass(frozen=True, slots=True)
class WaitRing:
    """A quarter of a ring that rotates while the booth is working."""

    rect: Rect
    opaque: ClassVar[bool] = False

    def beat(self, view: SessionView) -> Hashable:
        """Return the time at which it is shown."""
        return _passed_s(view)

    def paint(self, glass: Glass, view: SessionView, frame_rgb: ScenePicture | None) -> None:
        """Paint it at the angle for the time spent in this state."""
        turn = _passed_s(view) / TURN_S % 1.0
        _arc(glass.canvas, self.rect, _colour(theme.FOCUS, view), 360 * turn - 90, 90)


@dataclass(frozen=True, slots=True)
class CountRing:
    """A ring that empties over `whole_s` seconds."""

    rect: Rect
    whole_s: float
    opaque: ClassVar[bool] = False

    def beat(self, view: SessionView) -> Hashable:
        """Return the seconds left, whole ones where nothing may glide."""
        left_s = view.time_left_s or 0.0
        return math.ceil(left_s) if view.ease.less_motion else left_s

    def paint(self, glass: Glass, view: SessionView, frame_rgb: ScenePicture | None) -> None:
        """Paint the remaining time."""
        left_s = view.time_left_s or 0.0
        if view.ease.less_motion:
            left_s = math.ceil(left_s)
        sweep_deg = 360 * min(left_s / self.whole_s, 1.0)
        _arc(glass.canvas, self.rect, _colour(theme.GUIDE, view), -90, sweep_deg)


def _held(view: SessionView) -> float:
    """Return the part of the time to hold still that has passed, in steps where nothing may glide."""
    held = 1.0 if view.state == "shooting" else view.align.hold_fraction
    return math.floor(held * COUNT) / COUNT if view.ease.less_motion else held


def _passed_s(view: SessionView) -> float:
    passed_s = view.now_s - view.since_s
    return math.floor(passed_s) if view.ease.less_motion else passed_s


Ring = type[HoldRing] | type[WaitRing]


def ring(scene: Scene, rect: Rect, figure: str, kind: Ring) -> None:
    """Draw a figure inside a thin ring, on which a thick ring of `kind` moves."""
    track(scene, rect)
    margin = rect.width * 0.22
    with Pen(scene.canvas, scene.at(rect.inset(margin, margin, margin, margin)), scene.colour(theme.TEXT), 6) as pen:
        FIGURES[figure](pen)
    scene.moving.append(kind(scene.at(rect)))


def waiting(scene: Scene, rect: Rect, icon: str) -> None:
    """Draw an icon inside a thin ring, on which a quarter of a ring rotates."""
    track(scene, rect)
    margin = rect.width * 0.28
    scene.icon(rect.inset(margin, margin, margin, margin), icon)
    scene.moving.append(WaitRing(scene.at(rect)))


def answering(scene: Scene, rect: Rect, icon: str, waits: bool) -> None:
    """Draw the icon of something that the booth works with, in a ring while it waits for an answer."""
    if waits:
        waiting(scene, rect, icon)
    else:
        scene.icon(rect, icon, theme.GUIDE, 5)


def track(scene: Scene, rect: Rect) -> None:
    """Draw the thin ring."""
    argb = scene.colour(theme.LINE).argb
    paint = skia.Paint(AntiAlias=True, Color=argb, Style=skia.Paint.kStroke_Style, StrokeWidth=6)
    scene.canvas.drawOval(skia_rect(scene.at(rect).inset(INSET, INSET, INSET, INSET)), paint)


def _colour(colour: theme.ThemeColour, view: SessionView) -> theme.ThemeColour:
    return theme.shown(colour, theme.palette_of(view))


def _arc(canvas: skia.Canvas, rect: Rect, colour: theme.ThemeColour, start_deg: float, sweep_deg: float) -> None:
    if sweep_deg <= 0:
        return
    paint = skia.Paint(
        AntiAlias=True,
        Color=colour.argb,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=WIDTH,
        StrokeCap=skia.Paint.kRound_Cap,
    )
    canvas.drawArc(skia_rect(rect.inset(INSET, INSET, INSET, INSET)), start_deg, sweep_deg, False, paint)
