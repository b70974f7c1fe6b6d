"""The requirements of a photo, one by one: what is met, what is not, and what the sitter is asked to look at."""

from __future__ import annotations

from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect
from kiosk.core.session.questions import LOOK_FOR
from kiosk.core.view.review import VerdictRow
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_start, cut_top, rows, square
from kiosk.screens.toolkit.outcome_signs import FINAL, sign
from kiosk.screens.toolkit.scene import Scene

ROW_HEIGHT = 128.0
QUESTION_HEIGHT = 104.0
MORE_HEIGHT = 56.0
BOUNDS = {"≥": "review.number_least", "≤": "review.number_most"}
"""The wording of one-sided limits."""

ORDER: tuple[Word, ...] = ("fail", "refer", "unmeasured", "advise", "pass")


def paged_rows(scene: Scene, rect: Rect, view: SessionView) -> int:
    """List a page of the requirements, those that did not pass first, with their values; return how many pages."""
    ordered = sorted(view.review.rows, key=lambda row: ORDER.index(row.word))
    height = scene.high(ROW_HEIGHT)
    most = max(int((rect.height + 12) // (height + 12)), 1)
    pages = max(-(-len(ordered) // most), 1)
    shown, _ = cut_top(rect, most * height + (most - 1) * 12, 0)
    first = (scene.place.page % pages) * most
    for line, row in zip(rows(shown, most, 12), ordered[first : first + most], strict=False):
        _row(scene, line, row)
    return pages


def questions(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Ask the sitter to look at what the booth could not decide."""
    doubtful = [row for row in view.review.rows if row.key in view.review.reasons]
    asked = list({LOOK_FOR.get(row.key, row.key): row for row in doubtful}.values())
    _listed(scene, rect, asked, QUESTION_HEIGHT)


def _listed(scene: Scene, rect: Rect, asked: list[VerdictRow], row_height: float) -> None:
    """Draw as many questions as there is room for, one at least, and write how many more there are."""
    height = scene.high(row_height)
    room = rect.height if len(asked) * (height + 12) - 12 <= rect.height else rect.height - MORE_HEIGHT
    count = max(1, min(len(asked), int((room + 12) // (height + 12))))
    shown, more = cut_top(rect, min(count * (height + 12) - 12, room), 0)
    for line, row in zip(rows(shown, count, 12), asked, strict=False):
        _question(scene, line, row)
    if count < len(asked):
        text = scene.words.tr("review.more", count=len(asked) - count)
        scene.text(more, text, theme.DETAIL, theme.MUTED, stand="top")


def _plate(scene: Scene, rect: Rect, row: VerdictRow) -> Rect:
    """Draw a row's background and sign, and return the room for its text."""
    scene.fill(rect, theme.SURFACE, 18)
    place, inner = cut_start(rect.inset(20, 4, 16, 4), 52, 20)
    sign(scene, square(place, 52), FINAL[row.word])
    return inner


def _question(scene: Scene, rect: Rect, row: VerdictRow) -> None:
    """Ask the sitter what the booth could not decide; a requirement that nobody can see is named."""
    key = f"look.{LOOK_FOR[row.key]}" if row.key in LOOK_FOR else f"requirement.{row.key}"
    scene.text(_plate(scene, rect, row), scene.words.tr(key), theme.NAME)


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
