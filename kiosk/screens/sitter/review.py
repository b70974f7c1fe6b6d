"""Review: the photo, one sentence on it, and at most two things to do; the numbers are behind Details."""

from __future__ import annotations

from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect
from kiosk.core.view.intent import Intent
from kiosk.core.view.review import PhotoChoice
from kiosk.core.view.sitter import SessionView
from kiosk.screens.sitter.align import OTHER_WORDS
from kiosk.screens.sitter.measured_photo import measured_photo, photo, picture
from kiosk.screens.sitter.verdict_rows import paged_rows, questions
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.composition import card
from kiosk.screens.toolkit.layout import columns, cut_bottom, cut_start, cut_top, rows
from kiosk.screens.toolkit.outcome_signs import FINAL, sign
from kiosk.screens.toolkit.scene import PanelPlace, Scene
from kiosk.screens.toolkit.widgets import button, footer, note, switch

SIGN_SIDE = 96.0
BUTTON_HEIGHT = 132.0
VERDICT_HEIGHT = 220.0
MARK_HEIGHT = 64.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    area = scene.area
    words, buttons = cut_bottom(area.controls, 2 * BUTTON_HEIGHT + 16, 20)
    if view.review.photos:
        _two_photos(scene, words, view)
    else:
        photo(scene, card(scene, area.shown), view)
        if view.review.sitter_decides:
            words, asked = cut_top(words, min(VERDICT_HEIGHT, words.height * 0.5), 12)
            questions(scene, asked, view)
        _verdict(scene, words, view)
    _buttons(scene, rows(buttons, 2, 16), view)
    footer(scene, area)


def _buttons(scene: Scene, places: list[Rect], view: SessionView) -> None:
    """Offer to print a photo that passed; otherwise to retake it, call the attendant, or print it as not certain."""
    tr = scene.words.tr
    first, second = places
    offers_second = view.review.verdict == "pass" or view.review.passed_by_attendant or not view.is_alone
    if view.review.rows:
        details = second
        if offers_second or view.review.sitter_decides:
            second, details = cut_start(second, second.width * 0.64)
        button(scene, details, tr("button.details"), PanelPlace("details"))
    if view.review.sitter_decides:
        button(scene, first, tr("button.retake"), Intent("retake"), icon="camera", rank="main")
        button(scene, second, tr("button.not_certain"), Intent("accept_doubt"))
        return
    if view.review.verdict == "pass" or view.review.passed_by_attendant:
        button(scene, first, tr("button.use"), Intent("accept"), icon="tick", rank="main")
        keeps = view.review.verdict == "pass" and not view.review.photos
        if view.review.can_retake:
            button(scene, second, tr("button.another" if keeps else "button.retake"), Intent("retake"))
        return
    button(scene, first, tr("button.retake"), Intent("retake"), icon="camera", rank="main")
    if view.event.guest is not None:
        button(scene, second, tr("button.without_photo"), Intent("without_photo"))
    elif view.called:
        note(scene, second, "attendant", tr("called.title"), theme.GUIDE)
    elif view.attended:
        button(scene, second, tr("button.call"), Intent("call"))


def _two_photos(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Show both photos side by side in one size, and let the sitter choose; the better-measured one is marked."""
    tr = scene.words.tr
    title, choices = cut_bottom(rect, BUTTON_HEIGHT, 20)
    scene.text(title, tr("review.two"), theme.TITLE, bold=True)
    for place, choice, each in zip(columns(scene.area.shown, 2), columns(choices, 2), view.review.photos, strict=True):
        _one_of_two(scene, place, each, view.review.photo_mm)
        label = tr("review.photo", number=view.review.photos.index(each) + 1)
        switch(scene, choice, label, Intent("pick", str(each.number)), on=each.is_chosen)


def _one_of_two(scene: Scene, rect: Rect, choice: PhotoChoice, photo_mm: tuple[float, float]) -> None:
    """Draw a photo with its mark below it, both in the middle of the height."""
    width_mm, height_mm = photo_mm
    high = min(rect.height - MARK_HEIGHT - 12, rect.width * height_mm / width_mm if width_mm else 0.0)
    _, upper = cut_top(rect, (rect.height - high - MARK_HEIGHT - 12) / 2, 0)
    place = picture(scene, cut_top(upper, high)[0], choice.jpeg, photo_mm)
    if place is not None and choice.is_chosen:
        scene.outline(place.grown(8), theme.GOOD, 8, 8)
    if place is not None and choice.is_best:
        below = Rect(rect.x, place.bottom + 12, rect.width, MARK_HEIGHT)
        scene.text(below, scene.words.tr("review.best"), theme.DETAIL, theme.GOOD, bold=True, align="centre")


def _verdict(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Write the verdict beside its sign, and what to do about it."""
    tr = scene.words.tr
    place, words = cut_start(rect, SIGN_SIDE, 28)
    word: Word = (
        "refer" if view.review.verdict == "unmeasured" or view.review.passed_by_attendant else view.review.verdict
    )
    sign(scene, Rect(place.x, place.y + 8, SIGN_SIDE, SIGN_SIDE), FINAL[word])
    if view.review.sitter_decides:
        scene.text(words, tr(title_key(view)), theme.TITLE, bold=True, stand="top")
        return
    title, _ = cut_top(words, words.height * 0.6, 0)
    used = scene.text(title, tr(title_key(view)), theme.TITLE, bold=True, stand="top")
    _, text = cut_top(words, used.height, 12)
    scene.text(text, tr(_text_key(view)), theme.BODY, theme.MUTED, stand="top")


def paint_details(scene: Scene, view: SessionView) -> None:
    """Draw the photo with the lines at which it was measured, and every requirement with its number, by pages."""
    tr, area = scene.words.tr, scene.area
    measured_photo(scene, area.shown, view)
    pages = paged_rows(scene, area.controls, view)
    close, more = columns(area.footer, 2) if pages > 1 else (area.footer, None)
    button(scene, close, tr("button.close"), PanelPlace())
    if more is not None:
        button(scene, more, tr("button.next"), PanelPlace("details", page=(scene.place.page + 1) % pages))


def title_key(view: SessionView) -> str:
    """Return the key of the verdict's title; an attendant is mentioned only if there is one."""
    if view.review.photos:
        return "review.two"
    if view.review.passed_by_attendant:
        return "review.passed.title"
    if view.review.sitter_decides:
        return "review.doubt.title"
    if view.review.verdict == "refer" and view.is_alone:
        return "review.fail.title"
    return f"review.{view.review.verdict}.title"


def _text_key(view: SessionView) -> str:
    if view.review.passed_by_attendant:
        return "review.passed.text"
    if remedy := remedy_key(view):
        return remedy
    if view.review.verdict == "unmeasured" and view.is_alone:
        return "review.fail.title"
    return f"review.{view.review.verdict}.text"


def remedy_key(view: SessionView) -> str:
    """Return the key of what would mend a photo that failed, in other words where it was said before; else empty."""
    key = view.review.remedy
    if view.review.verdict != "fail" or view.review.passed_by_attendant or not key:
        return ""
    return f"again.{OTHER_WORDS[key]}" if view.review.is_stuck else f"instruction.{key}"
