"""The loop on the welcome screen: somebody takes a seat, follows an arrow, and is measured.

The person is drawn, and nobody's likeness. Nothing flashes: what appears grows or fades in, and covers little.
"""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass
from typing import ClassVar

import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.icons import ICONS
from kiosk.screens.toolkit.layout import square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.motion import eased, progress
from kiosk.screens.toolkit.scene import Glass, ScenePicture, skia_rect
from kiosk.screens.toolkit.theme import ThemeColour

PERIOD_S = 9.0
RATE_HZ = 15.0
"""How many different pictures a second the loop has at most: smooth for slow movements, half of the screen's rate."""
SITS_S, ASKED_S, MOVES_S, SETTLED_S = 0.2, 1.5, 2.1, 3.6
MEASURED_S = (4.0, 4.7, 5.4)
"""When each measured line begins to grow."""
GROWS_S = 0.5
LEAVES_S = 8.3
RESTS_S = 7.0
"""The moment that is shown where nothing may move: seated, and measured."""
OFF, ROLL_DEG = 17.0, 9.0
"""How far beside the middle the person sits down at first, of 100 units, and how far the head is tilted."""

WALL, SKIN, SHADE = ThemeColour(0xE3, 0xE6, 0xE8), ThemeColour(0xC9, 0x8F, 0x6B), ThemeColour(0xB2, 0x78, 0x56)
HAIR, SHIRT, FEATURES = ThemeColour(0x3A, 0x2A, 0x25), ThemeColour(0x56, 0x6B, 0xB3), ThemeColour(0x2A, 0x1C, 0x17)
AMBER, RIM, GREEN = ThemeColour(0xFF, 0xBF, 0x47), ThemeColour(0x15, 0x18, 0x1D), ThemeColour(0x0B, 0x6B, 0x4F)
"""The colours of the drawing in every theme, because a photo's wall is light in each."""

HEAD_TOP, EYES, CHIN = 21.0, 42.0, 65.0
"""The heights of what is measured, of 100 units of the frame."""
AROUND, CORNERS = 22.0, 16.0
"""The room above and below the frame, and how far outside it its corners are drawn, in design pixels."""
ASPECT = 0.8
"""Width over height of the frame."""


@dataclass(frozen=True, slots=True)
class WelcomeLoop:
    """The moving picture; its place is mirrored for right-to-left languages, the person is not."""

    rect: Rect
    opaque: ClassVar[bool] = False

    def beat(self, view: SessionView) -> Hashable:
        """Return which of the loop's pictures is shown; while the measured person rests, it stays the same."""
        step = _step(view)
        return RESTS_S if MEASURED_S[-1] + 1.0 < step / RATE_HZ < LEAVES_S else step

    def paint(self, glass: Glass, view: SessionView, frame_rgb: ScenePicture | None) -> None:
        """Paint the loop at the time spent on the welcome screen."""
        palette = theme.palette_of(view)
        height = self.rect.height - 2 * AROUND
        frame = Rect(self.rect.centre.x - height * ASPECT / 2, self.rect.y + AROUND, height * ASPECT, height)
        moment_s = _step(view) / RATE_HZ
        canvas = glass.canvas
        canvas.save()
        canvas.clipRRect(skia.RRect.MakeRectXY(skia_rect(frame), theme.RADIUS, theme.RADIUS), doAntiAlias=True)
        canvas.drawRect(skia_rect(frame), _solid(WALL))
        _sitter(canvas, frame, moment_s)
        canvas.restore()
        _corners(canvas, frame, settled=progress(moment_s, SETTLED_S, 0.4), palette=palette)
        _asked(canvas, frame, moment_s)
        _measured(canvas, self.rect, frame, moment_s, palette)


def _step(view: SessionView) -> int:
    """Return the number of the loop's picture; a millisecond of grace keeps it from depending on rounding."""
    moment_s = RESTS_S if view.ease.less_motion else (view.now_s - view.since_s + 0.001) % PERIOD_S
    return math.floor(moment_s * RATE_HZ)


def _solid(colour: ThemeColour, opacity: float = 1.0) -> skia.Paint:
    return skia.Paint(AntiAlias=True, Color=colour.faded(opacity))


def _presence(moment_s: float) -> float:
    """Return how much of the person and the lines is there, 0 to 1, as one comes in and the next one's turn comes."""
    return progress(moment_s, SITS_S, 0.7) * (1 - progress(moment_s, LEAVES_S, 0.5))


def _sitter(canvas: skia.Canvas, frame: Rect, moment_s: float) -> None:
    """Draw head and shoulders, which come from below, aside and tilted, and follow the arrow to the middle."""
    off = 1 - eased(progress(moment_s, MOVES_S, SETTLED_S - MOVES_S))
    rises = 1 - eased(progress(moment_s, SITS_S, 1.3))
    canvas.saveLayerAlpha(skia_rect(frame), round(255 * _presence(moment_s)))
    canvas.translate(frame.x, frame.y)
    canvas.scale(frame.width / 80, frame.height / 100)
    canvas.translate(-OFF * off, 26 * rises)
    shoulders = skia.Path()
    shoulders.moveTo(3, 104)
    shoulders.cubicTo(4, 86, 12, 81, 29, 77)
    shoulders.lineTo(51, 77)
    shoulders.cubicTo(68, 81, 76, 86, 77, 104)
    shoulders.close()
    canvas.drawPath(shoulders, _solid(SHIRT))
    canvas.rotate(-ROLL_DEG * off, 40, 78)
    _head(canvas)
    canvas.restore()


def _head(canvas: skia.Canvas) -> None:
    neck = skia.Path()
    neck.moveTo(31.5, 56)
    neck.lineTo(31.5, 76)
    neck.cubicTo(34, 84, 46, 84, 48.5, 76)
    neck.lineTo(48.5, 56)
    canvas.drawPath(neck, _solid(SHADE))
    canvas.drawOval(skia.Rect.MakeLTRB(20.5, HEAD_TOP - 1, 59.5, 58), _solid(HAIR))
    for x in (22.5, 57.5):
        canvas.drawOval(skia.Rect.MakeLTRB(x - 3, 41, x + 3, 51), _solid(SHADE))
    face = skia.Path()
    face.moveTo(23.5, 38)
    face.cubicTo(23.5, 56, 31, CHIN, 40, CHIN)
    face.cubicTo(49, CHIN, 56.5, 56, 56.5, 38)
    face.cubicTo(54, 31, 48, 29.5, 43, 30)
    face.cubicTo(35, 31, 28, 31, 23.5, 38)
    face.close()
    canvas.drawPath(face, _solid(SKIN))
    pen = skia.Paint(AntiAlias=True, Color=FEATURES.argb, Style=skia.Paint.kStroke_Style, StrokeWidth=1.3)
    pen.setStrokeCap(skia.Paint.kRound_Cap)
    for x in (32.5, 47.5):
        canvas.drawCircle(x, EYES + 0.5, 1.7, _solid(FEATURES))
        canvas.drawLine(x - 3.6, 37.6, x + 3.6, 37.6, pen)
    nose = skia.Path()
    nose.moveTo(40, 44)
    nose.quadTo(42.6, 51, 39.4, 51.2)
    shade = skia.Paint(pen)
    shade.setColor(SHADE.argb)
    canvas.drawPath(nose, shade)
    canvas.drawLine(36, 57, 44, 57, pen)


def _corners(canvas: skia.Canvas, frame: Rect, settled: float, palette: theme.Palette) -> None:
    """Draw the corners of the photo, which turn from the colour of the drawing to that of what is right."""
    arm = frame.width * 0.13
    around = frame.grown(CORNERS)
    path = skia.Path()
    for x, along in ((around.x, arm), (around.right, -arm)):
        for y, down in ((around.y, arm), (around.bottom, -arm)):
            path.moveTo(x + along, y)
            path.lineTo(x, y)
            path.lineTo(x, y + down)
    for colour, opacity in ((theme.LINE, 1 - settled), (theme.GOOD, settled)):
        paint = skia.Paint(AntiAlias=True, Style=skia.Paint.kStroke_Style, StrokeWidth=7)
        paint.setColor(theme.shown(colour, palette).faded(opacity))
        paint.setStrokeCap(skia.Paint.kRound_Cap)
        paint.setStrokeJoin(skia.Paint.kRound_Join)
        canvas.drawPath(path, paint)


def _asked(canvas: skia.Canvas, frame: Rect, moment_s: float) -> None:
    """Draw the arrow that the person follows."""
    shown = progress(moment_s, ASKED_S, 0.3) * (1 - progress(moment_s, SETTLED_S - 0.3, 0.3))
    if shown <= 0:
        return
    side = frame.width * 0.2
    glide = 10 * math.sin(math.tau * (moment_s - ASKED_S) / 1.2)
    box = square(Rect(frame.right - side * 0.8 + glide, frame.y + frame.height * 0.46, 0, 0), side)
    canvas.saveLayerAlpha(skia_rect(box.grown(side)), round(255 * shown))
    for colour, stroke in ((RIM, 26.0), (AMBER, 15.0)):
        with Pen(canvas, box, colour, stroke) as pen:
            pen.arrow((12, 50), (86, 50), 34)
    canvas.restore()


def _measured(canvas: skia.Canvas, room: Rect, frame: Rect, moment_s: float, palette: theme.Palette) -> None:
    """Draw the line of the top of the head, of the eyes and of the chin, each with its check as it is measured."""
    good, ground = (theme.shown(colour, palette) for colour in (theme.GOOD, theme.SURFACE))
    leaves = 1 - progress(moment_s, LEAVES_S, 0.5)
    disc = min(64.0, frame.height * 0.15)
    reach = min((room.width - frame.width) / 2 - disc, disc * 2.2)
    for begins_s, share in zip(MEASURED_S, (HEAD_TOP, EYES, CHIN), strict=True):
        grown = eased(progress(moment_s, begins_s, GROWS_S))
        if grown <= 0:
            continue
        y = frame.y + frame.height * share / 100
        across = (frame.width + 2 * reach) * grown
        x = frame.x - reach
        paint = skia.Paint(AntiAlias=True, Color=good.faded(leaves), StrokeWidth=5)
        paint.setStrokeCap(skia.Paint.kRound_Cap)
        for left, right in ((x, frame.x - 26), (frame.right + 26, frame.right + reach)):
            if left < min(right, x + across):
                canvas.drawLine(left, y, min(right, x + across), y, paint)
        inside = skia.Paint(AntiAlias=True, Color=GREEN.faded(0.75 * leaves), StrokeWidth=3)
        inside.setPathEffect(skia.DashPathEffect.Make([10.0, 8.0], 0))
        if x + across > frame.x + 4:
            canvas.drawLine(frame.x + 4, y, min(frame.right - 4, x + across), y, inside)
        if grown >= 1:
            ticked = progress(moment_s, begins_s + GROWS_S, 0.25) * leaves
            place = square(Rect(frame.right + reach, y, 0, 0), disc)
            canvas.drawOval(skia_rect(place), _solid(good, ticked))
            canvas.saveLayerAlpha(skia_rect(place), round(255 * ticked))
            with Pen(canvas, place.inset(*(disc * 0.14,) * 4), ground, 13) as pen:
                ICONS["tick"](pen)
            canvas.restore()
