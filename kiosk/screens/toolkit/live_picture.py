"""The live picture: cropped around the guide, mirrored, with the band in which a head is accepted and the cue to it."""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

import cv2
import numpy as np
import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.view.align import LensPlace
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.cue_arrows import Arrow, cue
from kiosk.screens.toolkit.lens_tab import beside_lens, counted, tab
from kiosk.screens.toolkit.lure import beside_lure, lure
from kiosk.screens.toolkit.overlay import Overlay
from kiosk.screens.toolkit.scene import Glass, ScenePicture, skia_rect

HEAD_OF_PANEL = 0.65
"""The guide's height as a share of the panel's: large, with room for the outer contour and for the arrows."""
DISCARDED = 0.32
"""How much is left of the picture's brightness where the document's crop discards it."""
UNSEEN = Rect(0.34, 0.16, 0.32, 0.5)
"""The outline's place until a document sets it."""


def crop_px(width_px: int, height_px: int, aspect: float, guide: Rect, outer: Rect | None = None) -> Rect:
    """Return the part of a picture to show in a panel of `aspect` (width over height).

    The guide fills `HEAD_OF_PANEL` of its height, or less where the outer contour needs the room; where the picture is
    too narrow for the panel's aspect, the part is narrower than the panel.
    """
    whole = outer or guide
    crop_height = min(height_px, math.ceil(max(guide.height / HEAD_OF_PANEL, whole.height) * height_px))
    crop_width = min(width_px, round(crop_height * aspect))
    x = min(max(guide.centre.x * width_px - crop_width / 2, 0.0), width_px - crop_width)
    y = max(guide.centre.y * height_px - crop_height / 2, whole.bottom * height_px - crop_height)
    y = min(max(min(y, whole.y * height_px), 0.0), height_px - crop_height)
    return Rect(int(x), int(y), crop_width, crop_height)


@dataclass(frozen=True, slots=True)
class LivePicture:
    """The panel that shows the sitter, or a drawn face while there is no picture; the tab at the lens lies in it."""

    rect: Rect
    lens: LensPlace
    opaque: ClassVar[bool] = True

    def beat(self, view: SessionView) -> Hashable:
        """Return None: the camera's pictures follow each other."""
        return None

    def paint(self, glass: Glass, view: SessionView, frame_rgb: ScenePicture | None) -> None:
        """Paint the picture, the outline, the cue, the tab and the rounded corners."""
        palette = theme.palette_of(view)
        panel, strip = beside_lens(self.rect, self.lens, is_lured=view.care != "self")
        glass.pixels[glass.part(strip)] = theme.shown(theme.INK, palette).bgra
        if frame_rgb is None:
            shown = panel
            band = (_within(shown, UNSEEN),) * 2
            glass.pixels[glass.part(shown)] = theme.shown(theme.SURFACE, palette).bgra
        else:
            height_px, width_px = frame_rgb.shape[:2]
            guide = view.align.guide or UNSEEN
            crop = crop_px(width_px, height_px, panel.width / panel.height, guide, view.align.outer)
            shown = fitted(panel, crop)
            for bar in _beside(panel, shown):
                glass.pixels[glass.part(bar)] = theme.shown(theme.INK, palette).bgra
            show(glass, frame_rgb, crop, shown, mirror=view.align.mirror)
            inner, outer, kept = (
                _on_screen(part or guide, crop, width_px, height_px, shown, mirror=view.align.mirror)
                for part in (view.align.inner, view.align.outer, view.align.crop)
            )
            band = inner, outer
            if view.align.crop is not None:
                dim(glass, shown, kept, palette)
        aim = Aim(
            shown,
            *band,
            strip,
            self.lens,
            settled=_is_settled(view),
            palette=palette,
            count=counted(1.0 if view.state == "shooting" else view.align.hold_fraction),
            is_lured=view.care != "self",
        )
        size_px = glass.pixels.shape[1], glass.pixels.shape[0]
        _aimed(size_px, glass.scale, aim).put_on(glass.pixels)
        shown_s = view.now_s - view.align.instruction_since_s
        for arrow in cue(view.align.instruction, shown, aim.outer, mirror=view.align.mirror):
            x, y = (0.0, 0.0) if view.ease.less_motion else arrow.moved(shown_s)
            drawn = _arrow(size_px, glass.scale, arrow, palette)
            drawn.put_on(glass.pixels, round(x * glass.scale), round(y * glass.scale))
        if view.care != "self":
            lure(glass.canvas, strip, 0.0 if view.ease.less_motion else view.now_s)


@dataclass(frozen=True, slots=True)
class Aim:
    """What is drawn over the picture: the band between two contours, the cue beside it and the tab at the lens."""

    shown: Rect
    inner: Rect
    outer: Rect
    strip: Rect
    lens: LensPlace
    settled: bool
    palette: theme.Palette
    count: int
    is_lured: bool


def dim(glass: Glass, shown: Rect, kept: Rect, palette: theme.Palette) -> None:
    """Fade the picture outside a part of it into the ground."""
    ground = np.array(theme.shown(theme.INK, palette).bgra)
    table = np.arange(256)[:, None] * DISCARDED + ground * (1 - DISCARDED)
    table[:, 3] = 255
    levels = np.round(table).astype(np.uint8)[None]
    for bar in _beside(shown, shown.intersection(kept)):
        part = glass.pixels[glass.part(bar)]
        part[:] = cv2.LUT(part, levels)


def fitted(panel: Rect, crop: Rect) -> Rect:
    """Return the part of a panel that a crop fills without distortion."""
    scale = min(panel.width / crop.width, panel.height / crop.height)
    width, height = crop.width * scale, crop.height * scale
    return Rect(panel.centre.x - width / 2, panel.centre.y - height / 2, width, height)


def show(glass: Glass, frame_rgb: ScenePicture, crop: Rect, shown: Rect, *, mirror: bool) -> None:
    """Copy a part of the picture to the glass."""
    left, top = round(shown.x * glass.scale), round(shown.y * glass.scale)
    right, bottom = round(shown.right * glass.scale), round(shown.bottom * glass.scale)
    x, y = int(crop.x), int(crop.y)
    part = cv2.cvtColor(frame_rgb[y : y + int(crop.height), x : x + int(crop.width)], cv2.COLOR_RGB2BGRA)
    if mirror:
        part = cv2.flip(part, 1)
    place = glass.pixels[top:bottom, left:right]
    cv2.resize(part, (right - left, bottom - top), dst=place, interpolation=cv2.INTER_LINEAR)


@lru_cache(maxsize=16)
def _aimed(size_px: tuple[int, int], scale: float, aim: Aim) -> Overlay:
    """Return the overlay of the picture: the head's band, the cue, and an edge once everything fits."""
    ground, good, text = (theme.shown(colour, aim.palette) for colour in (theme.INK, theme.GOOD, theme.TEXT))

    def draw(canvas: skia.Canvas) -> None:
        canvas.save()
        canvas.clipRect(skia_rect(aim.shown))
        _outline(canvas, aim.inner, aim.outer, settled=aim.settled)
        canvas.restore()
        frame(canvas, aim.shown, aim.palette, settled=aim.settled)
        strip = beside_lure(aim.strip) if aim.is_lured else aim.strip
        tab(canvas, strip, aim.lens, aim.count, (ground, good if aim.count else text))

    return Overlay.drawn(Glass.blank(*size_px, scale), draw)


@lru_cache(maxsize=8)
def _arrow(size_px: tuple[int, int], scale: float, arrow: Arrow, palette: theme.Palette) -> Overlay:
    rim, colour = (theme.shown(each, palette) for each in (theme.ON_AMBER, theme.AMBER))
    return Overlay.drawn(Glass.blank(*size_px, scale), lambda canvas: arrow.draw(canvas, rim, colour))


def _beside(outer: Rect, inner: Rect) -> list[Rect]:
    """Return the bars above, below, left and right of `inner` where `outer` is larger by a pixel or more."""
    bars = (
        Rect(outer.x, outer.y, outer.width, inner.y - outer.y),
        Rect(outer.x, inner.bottom, outer.width, outer.bottom - inner.bottom),
        Rect(outer.x, outer.y, inner.x - outer.x, outer.height),
        Rect(inner.right, outer.y, outer.right - inner.right, outer.height),
    )
    return [bar for bar in bars if bar.width >= 1 and bar.height >= 1]


def _is_settled(view: SessionView) -> bool:
    return view.state == "shooting" or view.align.hold_fraction > 0


def frame(canvas: skia.Canvas, shown: Rect, palette: theme.Palette, *, settled: bool) -> None:
    """Round the picture's corners, and draw an edge once everything fits."""
    corners = skia.Path()
    corners.addRect(skia_rect(shown.grown(2)))
    corners.addRRect(skia.RRect.MakeRectXY(skia_rect(shown), theme.RADIUS, theme.RADIUS))
    corners.setFillType(skia.PathFillType.kEvenOdd)
    ground, good = (theme.shown(colour, palette) for colour in (theme.INK, theme.GOOD))
    canvas.drawPath(corners, skia.Paint(AntiAlias=True, Color=ground.argb))
    if settled:
        edge = skia.Paint(AntiAlias=True, Color=good.argb, Style=skia.Paint.kStroke_Style, StrokeWidth=6)
        canvas.drawRoundRect(skia_rect(shown.inset(3, 3, 3, 3)), theme.RADIUS - 3, theme.RADIUS - 3, edge)


def _within(outer: Rect, fractions: Rect) -> Rect:
    return Rect(
        outer.x + fractions.x * outer.width,
        outer.y + fractions.y * outer.height,
        fractions.width * outer.width,
        fractions.height * outer.height,
    )


def _on_screen(part: Rect, crop: Rect, width_px: int, height_px: int, shown: Rect, *, mirror: bool) -> Rect:
    """Return a part of the picture in design pixels, from fractions of the whole."""
    fractions = Rect(
        (part.x * width_px - crop.x) / crop.width,
        (part.y * height_px - crop.y) / crop.height,
        part.width * width_px / crop.width,
        part.height * height_px / crop.height,
    )
    if mirror:
        fractions = Rect(1 - fractions.right, fractions.y, fractions.width, fractions.height)
    return _within(shown, fractions)


def _outline(canvas: skia.Canvas, inner: Rect, outer: Rect, *, settled: bool) -> None:
    """Draw the band in which a head is accepted, as two soft contours."""
    line = theme.GOOD if settled else theme.TEXT
    for contour, strength in ((outer, 1.0), (inner, 0.6)):
        for colour, width in ((theme.INK.faded(0.6 * strength), 10.0), (line.faded(strength), 5.0)):
            paint = skia.Paint(AntiAlias=True, Color=colour, Style=skia.Paint.kStroke_Style, StrokeWidth=width)
            canvas.drawOval(skia_rect(contour), paint)
