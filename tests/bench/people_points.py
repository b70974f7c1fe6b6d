"""The points that were measured against those marked by hand, in % of the measured head height."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from people_looks import Look

from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import HeadPoints

FLAT_HAIR = 0.05
"""Share of the head height by which the hair, as measured, may rise above the crown of a bald or cropped head."""


def offsets(points: HeadPoints, marks: Mapping[str, tuple[float, float]]) -> dict[str, tuple[float, float]]:
    """Return by name how far a point lies to the right of its mark and below it, in % of the head height.

    An eye's centre is compared with the middle of its corners, and with its pupil; the top of the head, where the
    marker put it, with the crown on bald and cropped heads, and with the end of the hair on all.
    """
    head_px = points.head_height_px()

    def off(point: Point, mark: np.ndarray) -> tuple[float, float]:
        return 100 * (point.x - mark[0]) / head_px, 100 * (point.y - mark[1]) / head_px

    found = {}
    for side, eye in (("right", points.right_eye), ("left", points.left_eye)):
        corners = [np.array(marks[name]) for name in (f"{side}_eye_outer", f"{side}_eye_inner") if name in marks]
        if len(corners) == 2:
            found[f"{side} eye from corners"] = off(eye, (corners[0] + corners[1]) / 2)
        if f"{side}_pupil" in marks:
            found[f"{side} eye from pupil"] = off(eye, np.array(marks[f"{side}_pupil"]))
    if "chin" in marks:
        found["chin"] = off(points.chin, np.array(marks["chin"]))
    if "head_top" in marks:
        top = np.array(marks["head_top"])
        if points.crown.y - points.hair_top.y <= FLAT_HAIR * head_px:
            found["crown, flat hair"] = off(points.crown, top)
        found["hair top"] = off(points.hair_top, top)
    return found


def point_lines(looks: Sequence[Look]) -> tuple[list[str], dict[str, float]]:
    """Return one line a point: bias and scatter of the height, and how far off it is, in all and by origin."""
    marked = [
        (look, offsets(look.seen.points, look.photo.marks)) for look in looks if look.photo.marks and look.seen.points
    ]
    if not marked:
        return [], {}
    lines = [
        f"{'points, % of head':34}{'n':>5}{'right':>8}{'below':>8}{'scatter':>9}{'median':>8}{'95 %':>7}{'worst':>7}"
    ]
    numbers: dict[str, float] = {}
    groups = [("", marked)] + [
        (f", {origin}", [pair for pair in marked if pair[0].photo.origin == origin])
        for origin in sorted({look.photo.origin for look, _ in marked})
    ]
    for name in ("eye from corners", "eye from pupil", "chin", "crown, flat hair", "hair top"):
        for group, members in groups:
            found = np.array([off for _, offs in members for key, off in offs.items() if key.endswith(name)])
            if not len(found):
                continue
            far = np.hypot(*found.T) if name.startswith("eye") else np.abs(found[:, 1])
            told = (np.median(far), np.percentile(far, 95), far.max())
            bias = found.mean(axis=0)
            scatter = np.sqrt(((found - bias) ** 2).mean(axis=0)[slice(None) if name.startswith("eye") else 1].mean())
            lines.append(
                f"{name + group:34}{len(found):5}{bias[0]:8.2f}{bias[1]:8.2f}{scatter:9.2f}"
                f"{told[0]:8.2f}{told[1]:7.2f}{told[2]:7.2f}"
            )
            key = f"points.{name}{group}".replace(", ", ".").replace(" ", "_")
            stated = zip(("below", "scatter", "median", "p95", "worst"), (bias[1], scatter, *told), strict=True)
            numbers |= {f"{key}.{what}": round(float(value), 3) for what, value in stated}
    return lines, numbers
