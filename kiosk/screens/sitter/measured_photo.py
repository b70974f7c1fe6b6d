"""The photo as it will be printed, with the lines at which it was measured."""

from __future__ import annotations

from collections.abc import Mapping

import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.layout import square
from kiosk.screens.toolkit.scene import Scene, skia_rect
from kiosk.screens.toolkit.text import Style, fit, largest_common

LABEL_WIDTH, LABEL_HEIGHT = 260.0, 64.0


def photo(scene: Scene, area: Rect, view: SessionView) -> Rect | None:
    """Draw the photo as it will be printed, and return its place in the layout; None where a drawing stands for it."""
    place = picture(scene, area, view.review.photo_jpeg, view.review.photo_mm)
    if place is None:
        emblems.head_in_frame(scene, square(area, min(area.width, area.height) * 0.7))
    return place


def picture(scene: Scene, area: Rect, jpeg: bytes, photo_mm: tuple[float, float]) -> Rect | None:
    """Draw a photo as large as an area permits, and return its place in the layout; None where there is none."""
    image = skia.Image.MakeFromEncoded(jpeg) if jpeg else None
    width_mm, height_mm = photo_mm
    if image is None or not width_mm or not height_mm:
        return None
    scale = min(area.width / width_mm, area.height / height_mm)
    width, height = width_mm * scale, height_mm * scale
    place = Rect(area.x + (area.width - width) / 2, area.y, width, height)
    sampling = skia.SamplingOptions(skia.CubicResampler.Mitchell())
    scene.canvas.drawImageRect(image, skia_rect(scene.at(place)), sampling)
    return place


def measured_photo(scene: Scene, area: Rect, view: SessionView) -> None:
    """Draw the photo as it will be printed, with lines at the top of the head, the eyes and the chin."""
    place, points = photo(scene, area, view), view.review.photo_points_mm
    if place is None or points is None:
        return
    scale = place.width / view.review.photo_mm[0]
    measured = {
        view.review.head_top: points.top(view.review.head_top).y,
        "eyes": points.eye_centre.y,
        "chin": points.chin.y,
    }
    _lines(scene.canvas, scene.at(place), [y * scale for y in measured.values()])
    _labels(scene, place, {key: y * scale for key, y in measured.items()})


def _labels(scene: Scene, photo: Rect, heights: Mapping[str, float]) -> None:
    """Label each measured line just below it, at the trailing end."""
    label = {key: scene.words.tr(f"review.line.{key}") for key in heights}
    style = Style(theme.GOOD, bold=True)
    scale = largest_common(list(label.values()), LABEL_WIDTH - 24, LABEL_HEIGHT, scene.scale(theme.DETAIL), style)
    for key, height in heights.items():
        width = fit(label[key], LABEL_WIDTH - 24, LABEL_HEIGHT, scale, style).width + 24
        plate = Rect(photo.right - width, photo.y + height + 6, width, LABEL_HEIGHT)
        scene.fill(plate, theme.INK, 12)
        scene.text(plate.inset(10, 0, 10, 0), label[key], scale, theme.GOOD, bold=True, align="centre")


def _lines(canvas: skia.Canvas, photo: Rect, heights: list[float]) -> None:
    """Draw a line at each height below the photo's upper edge, strong at the sides and faint over the face."""
    side = photo.width * 0.14
    for height in heights:
        y = photo.y + height
        for left, right, colour, width in (
            (photo.x, photo.right, theme.GOOD.faded(0.6), 2.0),
            (photo.x, photo.x + side, theme.INK.faded(0.8), 9.0),
            (photo.right - side, photo.right, theme.INK.faded(0.8), 9.0),
            (photo.x, photo.x + side, theme.GOOD.argb, 5.0),
            (photo.right - side, photo.right, theme.GOOD.argb, 5.0),
        ):
            canvas.drawLine(left, y, right, y, skia.Paint(AntiAlias=True, Color=colour, StrokeWidth=width))
