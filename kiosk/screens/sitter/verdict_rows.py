"""The requirements of a photo, one by one: what is met, what is not, and what the sitter is asked to look at."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect
from kiosk.core.view.sitter import SessionView, VerdictRow
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_start, cut_top, rows, square
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import FINAL, sign

ROWS_SHOWN = 3
ROW_HEIGHT = 128.0
LINES_SHOWN = 5
LINE_HEIGHT = 72.0
"""The height of a line with a requirement's name only, used if more requirements are doubtful than there are rows."""
MORE_HEIGHT = 56.0
BOUNDS = {"≥": "review.number_least", "≤": "review.number_most"}
"""The wording of one-sided limits."""

LOOK_FOR: Mapping[str, str] = {
    "single_face_present": "alone",
    "yaw": "straight",
    "pitch": "straight",
    "roll": "straight",
    "eyes_open": "eyes_open",
    "eyes_visible": "eyes_visible",
    "gaze": "gaze",
    "red_eye": "red_eye",
    "mouth_closed": "mouth",
    "expression_neutrality": "expression",
    "face_occlusion_prevention": "face",
    "no_head_coverings": "head",
    "lens_tint": "lenses",
    "lens_glare": "glare",
    "frame_width": "frame",
    "background_uniformity": "background",
    "illumination_uniformity": "light",
    "luminance_mean": "light",
    "under_exposure_prevention": "light",
    "over_exposure_prevention": "light",
    "in_colour": "colour",
    "natural_colour": "colour",
    "sharpness": "sharp",
    "motion_blur": "sharp",
    "noise": "grain",
}
"""Questions by which a sitter can judge a doubtful requirement; the others are shown with name and value."""

ORDER: tuple[Word, ...] = ("fail", "refer", "unmeasured", "advise", "pass")


def verdict_rows(scene: Scene, rect: Rect, view: SessionView) -> None:
    """List the requirements, those that did not pass first, each with its values or with a question for the sitter."""
    ordered = sorted(view.review.rows, key=lambda row: ORDER.index(row.word))
    if not view.review.sitter_decides:
        _listed(scene, rect, ordered, ROWS_SHOWN, ROW_HEIGHT, _row)
        return
    doubtful = [row for row in ordered if row.key in view.review.reasons]
    asked = list({LOOK_FOR.get(row.key, row.key): row for row in doubtful}.values())
    if len(asked) <= ROWS_SHOWN:
        _listed(scene, rect, [*asked, *ordered[len(doubtful) :]], len(asked), ROW_HEIGHT, _question)
    else:
        _listed(scene, rect, ordered, min(LINES_SHOWN, len(doubtful)), LINE_HEIGHT, _line)


def _listed(
    scene: Scene,
    rect: Rect,
    ordered: list[VerdictRow],
    most: int,
    row_height: float,
    paint_row: Callable[[Scene, Rect, VerdictRow], None],
) -> None:
    """Draw as many rows as there is room for, and write how many more there are."""
    height = scene.high(row_height)
    count = min(most, int((rect.height - MORE_HEIGHT + 12) // (height + 12)))
    shown, more = cut_top(rect, count * height + (count - 1) * 12, 0)
    for line, row in zip(rows(shown, count, 12), ordered, strict=False):
        paint_row(scene, line, row)
    left_over = len(ordered) - count
    if left_over > 0:
        unmet = any(row.word != "pass" for row in ordered[count:])
        text = scene.words.tr("review.more" if unmet else "review.more_right", count=left_over)
        scene.text(more.inset(0, 8, 0, 0), text, theme.DETAIL, theme.MUTED, stand="top")


def _plate(scene: Scene, rect: Rect, row: VerdictRow) -> Rect:
    """Draw a row's background and sign, and return the room for its text."""
    scene.fill(rect, theme.SURFACE, 18)
    place, inner = cut_start(rect.inset(20, 4, 16, 4), 52, 20)
    sign(scene, square(place, 52), FINAL[row.word])
    return inner


def _question(scene: Scene, rect: Rect, row: VerdictRow) -> None:
    """Ask the sitter what the booth could not decide; a requirement that nobody can see is shown with its values."""
    if row.key in LOOK_FOR:
        scene.text(_plate(scene, rect, row), scene.words.tr(f"look.{LOOK_FOR[row.key]}"), theme.NAME)
    else:
        _row(scene, rect, row)


def _line(scene: Scene, rect: Rect, row: VerdictRow) -> None:
    scene.text(_plate(scene, rect, row), scene.words.tr(f"requirement.{row.key}"), theme.DETAIL)


def _row(scene: Scene, rect: Rect, row: VerdictRow) -> None:
    words = scene.words
    inner = _plate(scene, rect, row)
    upper, lower = rows(inner, 2, 0)
    name = f"reason.{row.key}" if row.word == "fail" else f"requirement.{row.key}"
    scene.text(upper, words.tr(name), theme.DETAIL)
    scene.text(lower, _number(scene, row), theme.DETAIL, theme.MUTED)


def _number(scene: Scene, row: VerdictRow) -> str:
    """Return the value and its limit, or that no measurement covers the requirement."""
    if not row.number:
        return scene.words.tr("review.not_looked_at")
    asked, _, bound = row.limit.partition(" ")
    key, limit = (BOUNDS[asked], bound) if asked in BOUNDS else ("review.number", row.limit)
    return scene.words.tr(key, number=row.number, limit=limit)
