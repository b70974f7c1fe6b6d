"""Prepare: what the chosen document requires, how to sit, and the sitter's age if the rules depend on it."""

from __future__ import annotations

import itertools

from kiosk.core.base.geometry import Rect
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import columns, cut_bottom, cut_start, cut_top, rows
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, notes

BUTTON_HEIGHT = 140.0
TITLE_HEIGHT, LOW_TITLE_HEIGHT = 190.0, 110.0
WHO_HEIGHT = 64.0
NOTES_HEIGHT = 250.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    title, asked = cut_top(area.shown, LOW_TITLE_HEIGHT if view.ease.low_controls else TITLE_HEIGHT, 12)
    scene.text(title, tr("asks.title"), theme.TITLE, bold=True)
    items = _requirements(scene.words, view)
    notes(scene, rows(asked, 4, 8), items)
    seat, rest = cut_top(area.controls, NOTES_HEIGHT, 12)
    sit = tr("asks.seat_stays" if view.ease.seat_stays else "asks.seat")
    notes(scene, rows(seat, 2, 8), [("seat", sit), ("light", tr("asks.light"))])
    rest, buttons = cut_bottom(rest, BUTTON_HEIGHT)
    ages = view.document.ages if view.document else ()
    if ages:
        _ages(scene, rest, ages)
        back, _ = cut_start(buttons, buttons.width * 0.34)
    else:
        back, ready = cut_start(buttons, buttons.width * 0.34)
        button(scene, ready, tr("button.ready"), Intent("ready"), rank="main")
    button(scene, back, tr("button.back"), Intent("back"))
    footer(scene, area)


def _requirements(words: Words, view: SessionView) -> list[tuple[str, str]]:
    """Return the sentences on the document, each with its icon."""
    items = [("person", words.tr("asks.face"))]
    document = view.document
    if document is not None and document.glasses is not None:
        items.append(("glasses", words.tr("asks.glasses_on" if document.glasses else "asks.glasses_off")))
    items.append(("hat", words.tr("asks.head")))
    if document is not None and document.ages:
        items.append(("child", words.tr("asks.child")))
    return items


def _ages(scene: Scene, rect: Rect, ages: tuple[int, ...]) -> None:
    """Ask for the sitter's age group, the oldest first; an answer goes on to the next screen."""
    tr = scene.words.tr
    who, answers = cut_bottom(rect, min(BUTTON_HEIGHT, rect.height - WHO_HEIGHT), 4)
    scene.text(who, tr("asks.who"), theme.BODY, theme.GUIDE, bold=True, stand="bottom")
    named = [(low, tr("asks.between", low=low, high=high - 1)) for low, high in itertools.pairwise(ages)]
    named[0] = (ages[0], tr("asks.younger", age=ages[1]))
    named.append((ages[-1], tr("asks.older", age=ages[-1])))
    for cell, (age, label) in zip(columns(answers, len(named)), reversed(named), strict=True):
        button(scene, cell, label, Intent("ready", str(age)), rank="main" if age == ages[-1] else "other")
