"""Copies: the sheet as it will be printed, its paper and number; the usual choice is preset and one tap goes on."""

from __future__ import annotations

import skia

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.media import written
from kiosk.core.view.choice import PaperOffer
from kiosk.core.view.intent import Intent
from kiosk.core.view.sheet import SheetPhoto
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.composition import LEAST_CARD, heading, with_lines
from kiosk.screens.toolkit.layout import cut_bottom, cut_start, cut_top, rows, square
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, notes, sheets_text, switch

BUTTON_HEIGHT = 120.0
LINE_HEIGHT = 132.0
STEP_WIDTH = 132.0
NOTE_HEIGHT = 190.0
PAPER = theme.ThemeColour(0xFF, 0xFF, 0xFF)
"""White in every theme, as the paper is."""


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    said = _of_payment(scene, view)
    choices, buttons = cut_bottom(area.controls, BUTTON_HEIGHT, 20)
    spare, lines = _lines(choices, view)
    rest = heading(scene, with_lines(scene, area.shown, spare), sheets_text(scene.words, view))
    if said:
        needed = (scene.high(NOTE_HEIGHT) + 8) * len(said)
        if scene.is_portrait or spare.height < needed:
            rest, below = cut_bottom(rest, needed, 12)
        else:
            below, _ = cut_top(spare, needed)
        notes(scene, rows(below, len(said), 8), said, theme.NAME)
    if rest.height >= LEAST_CARD:
        _sheet(scene, rest, view)
    _choices(scene, lines, view)
    footer(scene, area)
    if is_stopped(view):
        button(scene, buttons, tr("button.back"), Intent("back"))
        return
    back, on = cut_start(buttons, buttons.width * 0.34)
    button(scene, back, tr("button.back"), Intent("back"))
    label, icon = tr("copies.print"), "printer"
    if view.payment.due is not None:
        label, icon = tr("copies.pay", price=scene.words.money(view.payment.due)), view.payment.icon
    elif view.sheet.total is not None and view.payment.paid is None:
        label = tr("copies.print_priced", price=scene.words.money(view.sheet.total))
    button(scene, on, label, Intent("print"), icon=icon, rank="main")


def is_stopped(view: SessionView) -> bool:
    """Return whether the sitter would pay for sheets that could not be printed now."""
    return view.payment.due is not None and view.sheet.print_state == "failed"


def _of_payment(scene: Scene, view: SessionView) -> list[tuple[str, str]]:
    """Return what is to be known before paying.

    That is a printer that has stopped, or else why the last payment led to nothing, the credit, and no change.
    """
    tr, payment = scene.words.tr, view.payment
    if is_stopped(view):
        return [("printer", tr("unprinted.stopped"))]
    said = [("attention", tr(f"paying.{payment.note}"))] if payment.note else []
    if payment.paid is not None:
        said.append(("tick", tr("paying.credit", price=scene.words.money(payment.paid))))
    elif payment.way == "coins" and not payment.note:
        said.append(("note", tr("paying.no_change")))
    return said


def _sheet(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Draw the paper in its true proportions with the sitter's own photos, most of them upright, or else a drawing."""
    sheet, image = view.sheet, None
    if view.review.photo_jpeg and sheet.placements:
        image = skia.Image.MakeFromEncoded(view.review.photo_jpeg)
    if image is None or sheet.paper_mm is None:
        emblems.sheet(scene, square(rect, min(rect.width, rect.height)))
        return
    width_mm, height_mm = sheet.paper_mm.width, sheet.paper_mm.height
    lies = 2 * sum(photo.turned for photo in sheet.placements) > len(sheet.placements)
    scale = min(rect.width / (height_mm if lies else width_mm), rect.height / (width_mm if lies else height_mm))
    canvas, middle = scene.canvas, scene.at(rect).centre
    canvas.save()
    canvas.translate(middle.x, middle.y)
    canvas.rotate(-90 if lies else 0)
    canvas.scale(scale, scale)
    canvas.translate(-width_mm / 2, -height_mm / 2)
    canvas.drawRect(skia.Rect.MakeWH(width_mm, height_mm), skia.Paint(AntiAlias=True, Color=PAPER.argb))
    for photo in sheet.placements:
        _photo(canvas, image, photo)
    canvas.restore()


def _photo(canvas: skia.Canvas, image: skia.Image, photo: SheetPhoto) -> None:
    centre, rect = photo.rect_mm.centre, photo.rect_mm
    width, height = (rect.height, rect.width) if photo.turned else (rect.width, rect.height)
    canvas.save()
    canvas.translate(centre.x, centre.y)
    canvas.rotate(90 if photo.turned else 0)
    sampling = skia.SamplingOptions(skia.FilterMode.kLinear, skia.MipmapMode.kLinear)
    canvas.drawImageRect(image, skia.Rect.MakeXYWH(-width / 2, -height / 2, width, height), sampling)
    canvas.restore()


def _papers(view: SessionView) -> tuple[PaperOffer, ...]:
    return view.sheet.papers if len(view.sheet.papers) > 1 else ()


def _has_counts(view: SessionView) -> bool:
    return len(view.sheet.sheets_offered) > 1


def _lines(rect: Rect, view: SessionView) -> tuple[Rect, list[Rect]]:
    """Return the room above the choices, which stand at the foot of a rectangle, and a line for each of them."""
    down = len(_papers(view)) + _has_counts(view)
    if down == 0:
        return rect, []
    height = min(LINE_HEIGHT, (rect.height - 16 * (down - 1)) / down)
    spare, lines = cut_bottom(rect, down * (height + 16) - 16)
    return spare, rows(lines, down, 16)


def _choices(scene: Scene, lines: list[Rect], view: SessionView) -> None:
    """Draw the papers, one below the other, and below them the number of sheets between its two steps."""
    for line, paper in zip(lines, _papers(view), strict=False):
        label = scene.words.tr("printing.sheet", count=paper.photos, paper=written(paper.name))
        if paper.price is not None:
            label = scene.words.joined(label, scene.words.own(scene.words.money(paper.price)))
        switch(scene, line, label, Intent("paper", paper.name), on=paper.name == view.sheet.paper, scale=theme.DETAIL)
    if _has_counts(view):
        _stepper(scene, lines[-1], view)


def _stepper(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Draw the number of sheets between the step to fewer and the step to more, where there is one."""
    fewer, rest = cut_start(rect, STEP_WIDTH, 16)
    number, more = cut_start(rest, rest.width - STEP_WIDTH - 16, 16)
    scene.text(number, scene.words.tr("copies.sheets", count=view.sheet.sheets), theme.BODY, bold=True, align="centre")
    below = [count for count in view.sheet.sheets_offered if count < view.sheet.sheets]
    above = [count for count in view.sheet.sheets_offered if count > view.sheet.sheets]
    for place, icon, steps in ((fewer, "minus", below[-1:]), (more, "plus", above[:1])):
        for count in steps:
            scene.fill(place, theme.RAISED)
            scene.outline(place, theme.LINE, 3)
            scene.icon(square(place, 56), icon)
            scene.touch(place, Intent("sheets", str(count)))
