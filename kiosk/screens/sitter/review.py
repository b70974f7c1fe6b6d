"""Review: the photo with its measured lines, and the verdict in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import skia

from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView, VerdictRow
from kiosk.screens.sitter.align import OTHER_WORDS
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.layout import cut_bottom, cut_start, cut_top, rows, square
from kiosk.screens.toolkit.scene import Scene, skia_rect
from kiosk.screens.toolkit.text import Style, fit, largest_common
from kiosk.screens.toolkit.widgets import FINAL, button, footer, note, sign

SIGN_SIDE = 112.0
ROWS_SHOWN = 3
ROW_HEIGHT = 128.0
LINES_SHOWN = 5
LINE_HEIGHT = 72.0
"""The height of a line with a requirement's name only, used if more requirements are doubtful than there are rows."""
MORE_HEIGHT = 56.0
LABEL_WIDTH, LABEL_HEIGHT = 260.0, 64.0
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


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    area = scene.area
    if scene.is_portrait:
        photo, words = cut_start(area.shown, area.shown.width * 0.56, 32)
    else:
        photo, words = cut_top(area.shown, area.shown.height * 0.6, 32)
    _photo(scene, photo, view)
    _verdict(scene, words, view)
    listed, buttons = cut_bottom(area.controls, 2 * 116 + 16, 20)
    _rows(scene, listed, view)
    _buttons(scene, rows(buttons, 2, 16), view)
    footer(scene, area)


def _buttons(scene: Scene, places: list[Rect], view: SessionView) -> None:
    """Offer to print a photo that passed; otherwise to retake it, call the attendant, or print it as not certain."""
    tr = scene.words.tr
    retake = tr("button.retake")
    if view.review.sitter_decides:
        button(scene, places[0], retake, Intent("retake"), icon="camera", rank="main")
        button(scene, places[1], tr("button.not_certain"), Intent("accept_doubt"), icon="printer")
        return
    if view.review.verdict == "pass" or view.review.passed_by_attendant:
        button(scene, places[0], tr("button.accept"), Intent("accept"), icon="printer", rank="main")
        button(scene, places[1], retake, Intent("retake"), icon="camera")
        return
    button(scene, places[1], retake, Intent("retake"), icon="camera", rank="main")
    if view.event.guest is not None:
        button(scene, places[0], tr("button.without_photo"), Intent("without_photo"), icon="printer")
    elif view.called:
        note(scene, places[0], "attendant", tr("called.title"), theme.GUIDE)
    elif view.attended:
        button(scene, places[0], tr("button.call"), Intent("call"), icon="attendant")


def _verdict(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Write the verdict under or beside its sign."""
    tr = scene.words.tr
    if scene.is_portrait:
        place, words = cut_top(rect, SIGN_SIDE, 32)
    else:
        place, words = cut_start(rect, SIGN_SIDE, 32)
    word: Word = (
        "refer" if view.review.verdict == "unmeasured" or view.review.passed_by_attendant else view.review.verdict
    )
    sign(scene, Rect(place.x, place.y, SIGN_SIDE, SIGN_SIDE), FINAL[word])
    title, _ = cut_top(words, words.height * 0.56, 0)
    used = scene.text(title, tr(title_key(view)), theme.TITLE, bold=True, stand="top")
    _, text = cut_top(words, used.height, 12)
    scene.text(text, tr(_text_key(view)), theme.BODY, theme.MUTED, stand="top")


def title_key(view: SessionView) -> str:
    """Return the key of the verdict's title; an attendant is mentioned only if there is one."""
    if view.review.passed_by_attendant:
        return "review.passed.title"
    if view.review.sitter_decides:
        return "review.doubt.title"
    if view.review.verdict == "refer" and _is_alone(view):
        return "review.fail.title"
    return f"review.{view.review.verdict}.title"


def _text_key(view: SessionView) -> str:
    if view.review.passed_by_attendant:
        return "review.passed.text"
    if view.review.sitter_decides:
        return "review.doubt.text"
    if remedy := remedy_key(view):
        return remedy
    if view.review.verdict == "unmeasured" and _is_alone(view):
        return "review.fail.title"
    return f"review.{view.review.verdict}.text"


def remedy_key(view: SessionView) -> str:
    """Return the key of what would mend a photo that failed, in other words where it was said before; else empty."""
    key = view.review.remedy
    if view.review.verdict != "fail" or view.review.passed_by_attendant or not key:
        return ""
    return f"again.{OTHER_WORDS[key]}" if view.review.is_stuck else f"instruction.{key}"


def _is_alone(view: SessionView) -> bool:
    return not view.attended and view.event.guest is None


def _rows(scene: Scene, rect: Rect, view: SessionView) -> None:
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


def _photo(scene: Scene, area: Rect, view: SessionView) -> None:
    """Draw the photo as it will be printed, with lines at the top of the head, the eyes and the chin."""
    width_mm, height_mm = view.review.photo_mm
    image = skia.Image.MakeFromEncoded(view.review.photo_jpeg) if view.review.photo_jpeg else None
    if image is None or not width_mm or not height_mm:
        emblems.head_in_frame(scene, square(area, min(area.width, area.height) * 0.7))
        return
    scale = min(area.width / width_mm, area.height / height_mm)
    width, height = width_mm * scale, height_mm * scale
    unmirrored = Rect(area.x + (area.width - width) / 2, area.y, width, height)
    photo = scene.at(unmirrored)
    scene.canvas.drawImageRect(image, skia_rect(photo), skia.SamplingOptions(skia.CubicResampler.Mitchell()))
    points = view.review.photo_points_mm
    if points is not None:
        measured = {
            view.review.head_top: points.top(view.review.head_top).y,
            "eyes": points.eye_centre.y,
            "chin": points.chin.y,
        }
        _lines(scene.canvas, photo, [y * scale for y in measured.values()])
        _labels(scene, unmirrored, {key: y * scale for key, y in measured.items()})


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
