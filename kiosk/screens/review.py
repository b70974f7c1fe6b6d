"""Review: the photo with the lines that were measured, and the verdict in words."""

from __future__ import annotations

import skia

from kiosk.core.geometry import Rect
from kiosk.core.view import Intent, Row, SessionView, Word
from kiosk.screens import theme
from kiosk.screens.layout import cut_bottom, cut_start, cut_top, layout, rows
from kiosk.screens.scene import Scene, Stand, skia_rect
from kiosk.screens.widgets import button, footer, verdict

ROWS_SHOWN = 4
ORDER: tuple[Word, ...] = ("fail", "refer", "unmeasured", "pass")


def paint(scene: Scene, view: SessionView) -> None:
    """Lay the screen out."""
    area = layout(scene.size)
    tr = scene.words.tr
    if scene.is_portrait:
        photo, words = cut_start(area.shown, area.shown.width * 0.56, 32)
    else:
        photo, words = cut_bottom(area.shown, 190)
    _photo(scene, photo, view)
    _verdict(scene, words, view)
    listed, buttons = cut_bottom(area.controls, 2 * 120 + 20, 24)
    _rows(scene, listed, view)
    upper, lower = rows(buttons, 2)
    if view.verdict == "pass":
        button(scene, upper, tr("button.accept"), Intent("accept"), icon="printer", rank="main")
        button(scene, lower, tr("button.retake"), Intent("retake"), icon="camera")
    elif view.verdict == "fail":
        button(scene, upper, tr("button.retake"), Intent("retake"), icon="camera", rank="main")
        button(scene, lower, tr("button.attendant"), Intent("help"), icon="attendant")
    else:
        button(scene, upper, tr("button.attendant"), Intent("help"), icon="attendant", rank="main")
        button(scene, lower, tr("button.retake"), Intent("retake"), icon="camera")
    footer(scene, area)


def _verdict(scene: Scene, rect: Rect, view: SessionView) -> None:
    tr = scene.words.tr
    if scene.is_portrait:
        sign, words = cut_top(rect, 130)
        sign = Rect(sign.x, sign.y + 10, 110, 110)
    else:
        sign, words = cut_start(rect, 130)
        sign = Rect(sign.x, sign.centre.y - 55, 110, 110)
    verdict(scene, sign, view.verdict)
    stand: Stand = "top" if scene.is_portrait else "middle"
    scene.text(words, tr(f"review.{view.verdict}.title"), theme.TITLE, bold=True, stand=stand)


def _rows(scene: Scene, rect: Rect, view: SessionView) -> None:
    """List what did not pass in plain words, or the first of what did with its numbers."""
    tr = scene.words.tr
    ordered = sorted(view.rows, key=lambda row: ORDER.index(row.word))
    for line, row in zip(rows(rect, ROWS_SHOWN, 12), ordered[:ROWS_SHOWN], strict=False):
        _row(scene, line, row, tr)


def _row(scene: Scene, rect: Rect, row: Row, tr: object) -> None:
    words = scene.words
    scene.fill(rect, theme.SURFACE, 18)
    sign, inner = cut_start(rect.inset(24, 6, 20, 6), 48, 20)
    verdict(scene, Rect(sign.x, sign.centre.y - 24, 48, 48), row.word)
    name = words.tr(f"requirement.{row.key}" if row.word == "pass" else f"reason.{row.key}")
    upper, lower = cut_top(inner, inner.height / 2, 0)
    scene.text(upper, name, (theme.SMALLEST,), bold=True)
    number = words.tr("review.number", number=row.number, limit=row.limit)
    scene.text(lower, number, (theme.SMALLEST,), theme.MUTED)


def _photo(scene: Scene, area: Rect, view: SessionView) -> None:
    """Draw the photo as it will be printed, with the lines of crown, eyes and chin."""
    width_mm, height_mm = view.photo_mm
    if not view.photo_jpeg or not width_mm or not height_mm:
        return
    scale = min(area.width / width_mm, area.height / height_mm)
    photo = Rect(area.x, area.y, width_mm * scale, height_mm * scale)
    photo = Rect(area.centre.x - photo.width / 2, area.centre.y - photo.height / 2, photo.width, photo.height)
    image = skia.Image.MakeFromEncoded(view.photo_jpeg)
    if image is None:
        return
    scene.canvas.drawImageRect(image, skia_rect(scene.at(photo)), skia.SamplingOptions(skia.CubicResampler.Mitchell()))
    _lines(scene, photo, view, scale)


def _lines(scene: Scene, photo: Rect, view: SessionView, scale: float) -> None:
    points = view.photo_points_mm
    if points is None:
        return
    left = scene.at(photo).x
    for y_mm in (points.crown.y, points.eye_centre.y, points.chin.y):
        y = photo.y + y_mm * scale
        for colour, width in ((theme.INK.faded(0.75), 7.0), (theme.GOOD.argb, 3.5)):
            paint = skia.Paint(AntiAlias=True, Color=colour, StrokeWidth=width)
            scene.canvas.drawLine(left, y, left + photo.width, y, paint)
