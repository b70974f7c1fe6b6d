"""A page with the worst pictures of a run, what is true and what was measured drawn into them; nothing is loaded."""

from __future__ import annotations

import base64
import html
from pathlib import Path

import cv2
import numpy as np

from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import HeadPoints

HEIGHT_PX = 640
WORST = 10
TRUE, MEASURED = (60, 160, 20), (30, 30, 220)
"""Green and red, blue first."""

HEAD_MM = 34.0
POINTS = ("right eye", "left eye", "chin", "crown", "hair top", "pitch")
STYLE = "body{font:14px sans-serif}figure{display:inline-block;margin:.5em;width:480px;vertical-align:top}"


def worst(rows: list) -> list:
    """Return the pictures whose points are off by the most stated standard deviations, unmeasured ones first."""

    def badness(row: object) -> float:
        return max((abs(row.spans[name]) for name in POINTS if name in row.spans), default=float("inf"))

    return sorted(rows, key=badness, reverse=True)[:WORST]


def page(rows: list) -> str:
    """Return the page."""
    chosen = worst(rows)
    legend = "Green: true. Red: measured, with one stated standard deviation as a bar. Errors in % of the head height."
    return laid_out(f"The {len(chosen)} worst pictures", legend, [_row_figure(row) for row in chosen])


def laid_out(title: str, legend: str, figures: list[str]) -> str:
    """Return a page of figures."""
    return (
        f"<!doctype html><meta charset=utf-8><title>{html.escape(title)}</title><style>{STYLE}</style>"
        f"<h1>{html.escape(title)}</h1><p>{html.escape(legend)}</p>{''.join(figures)}"
    )


def figure(file: Path, true: list[tuple[float, float]], points: HeadPoints | None, caption: str) -> str:
    """Return a picture with true and measured points drawn into it, above its caption, which is HTML."""
    picture = cv2.imread(str(file))
    factor = HEIGHT_PX / picture.shape[0]
    picture = cv2.resize(picture, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    for x, y in true:
        _cross(picture, x * factor, y * factor, 0.0, TRUE)
    if points is not None:
        found: list[tuple[Point, float]] = [
            (points.right_eye, points.eye_sd_px),
            (points.left_eye, points.eye_sd_px),
            (points.chin, points.chin_sd_px),
            (points.crown, points.crown_sd_px),
            (points.hair_top, points.hair_top_sd_px),
        ]
        for point, sd in found:
            _cross(picture, point.x * factor, point.y * factor, sd * factor, MEASURED)
    data = base64.b64encode(cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, 85])[1].tobytes()).decode()
    shown = f'<img width=480 src="data:image/jpeg;base64,{data}">'
    return f"<figure>{shown}<figcaption>{caption}</figcaption></figure>"


def _row_figure(row: object) -> str:
    marks = row.truth["landmarks_px"]
    eyes = [(np.array(marks[f"{s}_eye_inner"]) + marks[f"{s}_eye_outer"]) / 2 for s in ("right", "left")]
    told = ", ".join(f"{name} {value:.2f}" for name, value in row.errors.items()) or f"{row.seen.faces} faces"
    caption = html.escape(f"{row.name}: {told}")
    return figure(row.file, [*eyes, marks["chin_contour"], marks["skull_top"]], row.seen.points, caption)


def _cross(picture: np.ndarray, x: float, y: float, sd: float, colour: tuple[int, int, int]) -> None:
    at = round(x), round(y)
    cv2.drawMarker(picture, at, colour, cv2.MARKER_CROSS, 14, 2)
    if sd > 0:
        cv2.line(picture, (round(x) + 10, round(y - sd)), (round(x) + 10, round(y + sd)), colour, 2)
