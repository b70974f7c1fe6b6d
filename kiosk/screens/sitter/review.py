"""Review: the photo with its measured lines, and the verdict in words."""

from __future__ import annotations

from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.sitter.align import OTHER_WORDS
from kiosk.screens.sitter.measured_photo import measured_photo
from kiosk.screens.sitter.verdict_rows import verdict_rows
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_bottom, cut_start, cut_top, rows
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import FINAL, button, footer, note, sign

SIGN_SIDE = 112.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    area = scene.area
    if scene.is_portrait:
        photo, words = cut_start(area.shown, area.shown.width * 0.56, 32)
    else:
        photo, words = cut_top(area.shown, area.shown.height * 0.6, 32)
    measured_photo(scene, photo, view)
    _verdict(scene, words, view)
    listed, buttons = cut_bottom(area.controls, 2 * 116 + 16, 20)
    verdict_rows(scene, listed, view)
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
