"""The attendant's other pages: paper, override, help for a sitter, test shot, reprint, and two confirmations."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.view.attendant import DeskIntent, DeskView
from kiosk.core.view.intent import EaseName
from kiosk.core.view.kept_sheet import MOST_SHEETS
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import native_name
from kiosk.screens.staff.overview import WORDS
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import ScreenLayout, cut_bottom, cut_top, grid, rows, square
from kiosk.screens.toolkit.number_pad import number_pad
from kiosk.screens.toolkit.scene import Scene, UserAct, skia_rect
from kiosk.screens.toolkit.text import Style, fit
from kiosk.screens.toolkit.widgets import button, small_buttons

NUMBER: theme.TypeScale = (112,)
EASES: Mapping[EaseName, str] = {
    "large_type": "Larger text",
    "strong_contrast": "Strong contrast",
    "low_controls": "Controls at the lower edge",
    "one_switch": "One switch or key",
    "seat_stays": "Wheelchair, or a seat that stays",
    "less_motion": "Less motion",
}


def paint_paper(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask for the number of sheets in the printer."""
    area = _headed(scene, "printer", "How many sheets are in the printer now?")
    _, rest = cut_top(area.shown, area.shown.height * 0.62, 12)
    number, below = cut_top(rest, 140, 12)
    scene.text(number, desk.number or "–", NUMBER, theme.GUIDE, bold=True, align="centre")
    scene.text(below, "The booth counts down from it, and asks for paper at none.", WORDS, theme.MUTED, align="centre")
    number_pad(scene, area.controls, "Set", enabled=True)


def paint_override(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask for the reason of an override."""
    area = _headed(scene, "tick", "Why do you pass this photo?")
    _, below = cut_top(area.shown, area.shown.height * 0.62, 12)
    text = (
        f"It cannot be passed: {desk.why_no_override}."
        if desk.why_no_override
        else "The reason is put on record, and the sheet says that an attendant passed it. The authority decides."
    )
    scene.text(below, text, WORDS, theme.MUTED, align="centre", stand="top")
    if not desk.why_no_override:
        for cell, (key, words) in zip(rows(area.controls, len(desk.reasons), 14), desk.reasons, strict=True):
            button(scene, cell, words, DeskIntent("override", key))


def paint_help(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Offer to change the sitter's language and age, show how to adjust the seat, or restart the session."""
    child = ("child", "Age", DeskIntent("show", "age")) if desk.ages else None
    area = _headed(scene, "person", "Help the sitter", ("accessibility", "Access", DeskIntent("show", "ease")), child)
    _, below = cut_top(area.shown, area.shown.height * 0.62, 12)
    text = "Choose the sitter's language. Starting again wipes the sitter's pictures."
    scene.text(below, f"{desk.seat} {text}".lstrip(), WORDS, theme.MUTED, align="centre", stand="top")
    listed, again = cut_bottom(area.controls, 120, 16) if "start_again" in desk.orders else (area.controls, None)
    across = 2 if len(view.languages) <= 6 else 3
    cells = grid(listed, across, math.ceil(len(view.languages) / across), 14)
    for cell, tag in zip(cells, view.languages, strict=False):
        _choice(scene, cell, native_name(tag), DeskIntent("language", tag), theme.NAME, chosen=tag == view.language)
    if again is not None:
        button(scene, again, "Start again", DeskIntent("start_again"), icon="start_again")


def paint_ease(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Offer the accessibility options for this sitter."""
    area = _headed(scene, "accessibility", "Make it easier for the sitter")
    for cell, name in zip(rows(area.controls, len(EASES), 14), EASES, strict=True):
        is_on = getattr(view.ease, name)
        button(scene, cell, EASES[name], DeskIntent("ease", name), icon="tick" if is_on else "dots")


def paint_age(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask for the sitter's age group, if the document has other rules for children."""
    area = _headed(scene, "child", "How old is the person in the photo?")
    _, below = cut_top(area.shown, area.shown.height * 0.62, 12)
    text = (
        "A photo that was judged by other rules is taken again. Nobody but the child is in the picture, no hand either."
        if desk.ages
        else "There is nobody whose document has other rules for children."
    )
    scene.text(below, text, WORDS, theme.MUTED, align="centre", stand="top")
    for cell, (age, words) in zip(rows(area.controls, max(len(desk.ages), 3), 14), _ages(desk.ages), strict=False):
        button(scene, cell, words, DeskIntent("age", str(age)))


def _ages(ages: tuple[int, ...]) -> list[tuple[int, str]]:
    """Return the age at which each set of rules starts, with a label, the oldest first."""
    named = [(low, f"{low} to {high - 1} years") for low, high in pairwise(ages)]
    if named:
        named[0] = (ages[0], f"Under {ages[1]} year{'' if ages[1] == 1 else 's'}")
    named += [(age, f"{age} years and older") for age in ages[-1:]]
    return named[::-1]


def paint_shot(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Take a test shot, and show its findings and picture."""
    area = scene.area
    _footer(scene, area)
    image = skia.Image.MakeFromEncoded(desk.test_jpeg) if desk.test_jpeg else None
    if image is not None:
        scale = min(area.shown.width / image.width(), area.shown.height / image.height())
        width, height = image.width() * scale, image.height() * scale
        place = Rect(area.shown.centre.x - width / 2, area.shown.y, width, height)
        scene.canvas.drawImageRect(image, skia_rect(place), skia.SamplingOptions(skia.CubicResampler.Mitchell()))
    else:
        sign, words = cut_top(area.shown, area.shown.height * 0.55, 24)
        scene.icon(square(sign, 220), "camera", theme.GUIDE, 12)
        scene.text(words, "Test shot", theme.TITLE, bold=True, align="centre", stand="top")
    below, take = cut_bottom(area.controls, 140, 16)
    text = desk.notice or "Sit somebody down or hold a target, then take it. The picture is shown here and not kept."
    lines = desk.test_report or (("The camera is released.",) if desk.is_testing else (text,))
    for line in lines:
        height = fit(line, below.width, below.height, WORDS[-1:], Style(theme.TEXT)).height
        place, below = cut_top(below, height, 14)
        scene.text(place, line, WORDS[-1:], theme.STOP if desk.notice else theme.TEXT, stand="top")
    if "test_shot" in desk.orders:
        button(scene, take, "Take a test shot", DeskIntent("test_shot"), icon="camera", rank="main")
    elif not desk.is_testing:
        scene.text(take, "A test shot waits until the sitter has left.", WORDS, theme.MUTED)


def paint_reprint(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask which sheet to reprint."""
    area = _headed(scene, "printer", "Which sheet is printed again?")
    _, below = cut_top(area.shown, area.shown.height * 0.62, 12)
    text = "It is counted as a reprint. Destroy the sheet that was spoilt." if desk.kept else "No sheet is kept now."
    scene.text(below, text, WORDS, theme.MUTED, align="centre", stand="top")
    for cell, sheet in zip(rows(area.controls, MOST_SHEETS, 14), reversed(desk.kept), strict=False):
        _choice(scene, cell, sheet.words, DeskIntent("reprint", sheet.key), WORDS)


def paint_owed(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask whose money was paid out."""
    area = _headed(scene, "coins", "Whose money have you paid out?")
    _, below = cut_top(area.shown, area.shown.height * 0.62, 12)
    text = "Compare the sitter's code. The ledger counts it as paid out." if desk.owed else "Nothing is owed now."
    scene.text(below, text, WORDS, theme.MUTED, align="centre", stand="top")
    for cell, (key, words) in zip(rows(area.controls, MOST_SHEETS, 14), desk.owed, strict=False):
        _choice(scene, cell, words, DeskIntent("settle", key), WORDS)


def paint_sure_shut(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask for confirmation before the booth is put out of order."""
    _sure(scene, "Put the booth out of order?", _sitter_ends(view), "Out of order", DeskIntent("shut"))


def paint_sure_end(scene: Scene, desk: DeskView, view: SessionView) -> None:
    """Ask for confirmation before the program ends."""
    text = f"{_sitter_ends(view)} The booth comes back when the machine is switched off and on."
    _sure(scene, "End the program?", text, "End the program", DeskIntent("end"))


def _sitter_ends(view: SessionView) -> str:
    busy = view.state not in ("welcome", "out_of_order")
    return "The sitter's session ends and its pictures are wiped." if busy else "Nobody is in the booth."


def _choice(
    scene: Scene, cell: Rect, words: str, order: DeskIntent, scale: theme.TypeScale, *, chosen: bool = False
) -> None:
    """Draw one of several choices, in smaller type than a button."""
    scene.fill(cell, theme.RAISED)
    scene.outline(cell, theme.GOOD if chosen else theme.LINE, 6 if chosen else 3)
    scene.text(cell.inset(12, 4, 12, 4), words, scale, bold=True, align="centre")
    scene.touch(cell, order)


def _sure(scene: Scene, title: str, text: str, label: str, order: DeskIntent) -> None:
    area = _headed(scene, "attention", title)
    _, below = cut_top(area.shown, area.shown.height * 0.62, 12)
    scene.text(below, text, theme.BODY, theme.MUTED, align="centre", stand="top")
    no, yes = rows(cut_top(area.controls, 340)[0], 2, 24)
    button(scene, no, "No, go back", DeskIntent("show", "state"), rank="main")
    button(scene, yes, label, order)


def _headed(scene: Scene, icon: str, title: str, *more: tuple[str, str, UserAct] | None) -> ScreenLayout:
    """Draw a page's icon and title, and in the footer the back button with at most two others."""
    area = scene.area
    upper, _ = cut_top(area.shown, area.shown.height * 0.62, 12)
    sign, words = cut_top(upper, upper.height * 0.55, 16)
    scene.icon(square(sign, 200), icon, theme.GUIDE, 11)
    scene.text(words, title, theme.TITLE, bold=True, align="centre")
    _footer(scene, area, *more)
    return area


def _footer(scene: Scene, area: ScreenLayout, *more: tuple[str, str, UserAct] | None) -> None:
    small_buttons(scene, area.footer, [("back", "Back", DeskIntent("show", "state")), *more, None, None][:3])
