"""The live picture while a guest holds a code up: four corners show where, and no head is outlined."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import square
from kiosk.screens.toolkit.live_picture import crop_px, fitted, frame, show
from kiosk.screens.toolkit.overlay import Overlay
from kiosk.screens.toolkit.scene import Glass, ScenePicture

HELD_UP = Rect(0.2, 0.32, 0.6, 0.36)
"""The part of the picture that is shown; codes are read in all of it."""

AIM = 0.78
"""Side of the square between the corners, as a fraction of the panel's height."""


@dataclass(frozen=True, slots=True)
class CodePicture:
    """The panel with the middle of the picture and four corners; without a picture, the corners only."""

    rect: Rect
    opaque: ClassVar[bool] = False

    def beat(self, view: SessionView) -> Hashable:
        """Return None: the camera's pictures follow each other."""
        return None

    def paint(self, glass: Glass, view: SessionView, frame_rgb: ScenePicture | None) -> None:
        """Paint the picture and the corners."""
        shown = self.rect
        if frame_rgb is not None:
            height_px, width_px = frame_rgb.shape[:2]
            crop = crop_px(width_px, height_px, shown.width / shown.height, HELD_UP)
            shown = fitted(shown, crop)
            show(glass, frame_rgb, crop, shown, mirror=view.align.mirror)
        size_px = glass.pixels.shape[1], glass.pixels.shape[0]
        framed = frame_rgb is not None
        _aim(size_px, glass.scale, shown, theme.palette_of(view), framed=framed).put_on(glass.pixels)


@lru_cache(maxsize=2)
def _aim(size_px: tuple[int, int], scale: float, shown: Rect, palette: theme.Palette, *, framed: bool) -> Overlay:
    def draw(canvas: skia.Canvas) -> None:
        if framed:
            frame(canvas, shown, palette, settled=False)
        _corners(canvas, square(shown, shown.height * AIM), theme.shown(theme.GUIDE, palette))

    return Overlay.drawn(Glass.blank(*size_px, scale), draw)


def _corners(canvas: skia.Canvas, box: Rect, colour: theme.ThemeColour) -> None:
    arm = box.width * 0.2
    path = skia.Path()
    for x, along in ((box.x, arm), (box.right, -arm)):
        for y, down in ((box.y, arm), (box.bottom, -arm)):
            path.moveTo(x + along, y)
            path.lineTo(x, y)
            path.lineTo(x, y + down)
    for argb, width in ((theme.INK.faded(0.75), 14.0), (colour.argb, 7.0)):
        stroke = skia.Paint(AntiAlias=True, Color=argb, Style=skia.Paint.kStroke_Style, StrokeWidth=width)
        stroke.setStrokeCap(skia.Paint.kRound_Cap)
        stroke.setStrokeJoin(skia.Paint.kRound_Join)
        canvas.drawPath(path, stroke)
