"""Prepare: whose photo it is, as pictures, where the document's rules depend on the age."""

from __future__ import annotations

import itertools

from kiosk.core.base.geometry import Rect
from kiosk.core.view.choice import DocumentOffer
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.composition import card, heading
from kiosk.screens.toolkit.document_signs import document_sign
from kiosk.screens.toolkit.icons import Drawing
from kiosk.screens.toolkit.layout import columns, cut_bottom, cut_start, cut_top, square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.pose_figures import grown_up, lie_down, small_child
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.text import Style, largest_common
from kiosk.screens.toolkit.widgets import button, document_detail, document_title, footer

BUTTON_HEIGHT = 124.0
SIGN_SIDE = 260.0
LABEL_HEIGHT = 130.0
BABY_BEFORE = 2
"""Below this age in completed years a child is drawn lying."""


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr, area = scene.words.tr, scene.area
    rest = heading(scene, area.shown, tr("asks.who"))
    answers, back = cut_bottom(area.controls, BUTTON_HEIGHT, 24)
    if view.document is not None:
        _document(scene, rest, view.document)
        if view.document.ages:
            _ages(scene, answers, view.document.ages)
    button(scene, cut_start(back, back.width * 0.34)[0], tr("button.back"), Intent("back"))
    footer(scene, area)


def _document(scene: Scene, rect: Rect, document: DocumentOffer) -> None:
    """Show which document was chosen: its pictogram beside its name, or above it where the card is tall."""
    inner = card(scene, rect)
    if scene.is_portrait or inner.height < 2 * SIGN_SIDE:
        side = min(inner.height, SIGN_SIDE)
        place, words = cut_start(inner, side, 36)
        document_sign(scene, document, square(place, side))
    else:
        place, words = cut_top(inner, inner.height * 0.5, 24)
        document_sign(scene, document, square(place, min(place.height, SIGN_SIDE)))
    upper, lower = cut_top(words, words.height * 0.62, 0)
    scene.text(upper, document_title(scene.words, document), theme.LABEL, bold=True, stand="bottom")
    scene.text(lower, document_detail(scene.words, document), theme.DETAIL, theme.MUTED, stand="top")


def _ages(scene: Scene, rect: Rect, ages: tuple[int, ...]) -> None:
    """Offer an age group on each tile, the oldest first; an answer goes on to the next screen."""
    groups = _groups(scene.words, ages)
    cells = columns(rect, len(groups))
    labels = [label for _, label, _ in groups]
    style = Style(theme.TEXT, bold=True, align="centre")
    scale = largest_common(labels, cells[0].width - 32, LABEL_HEIGHT, scene.scale(theme.LABEL), style)
    for cell, (age, label, drawing) in zip(cells, groups, strict=True):
        scene.fill(cell, theme.RAISED)
        scene.outline(cell, theme.LINE, 3)
        picture, words = cut_bottom(cell.inset(16, 24, 16, 12), LABEL_HEIGHT, 8)
        place = square(picture, min(picture.width, picture.height, 240))
        with Pen(scene.canvas, scene.at(place), scene.colour(theme.GUIDE), 6) as pen:
            drawing(pen)
        scene.text(words, label, scale, bold=True, align="centre")
        scene.touch(cell, Intent("ready", str(age)))


def _groups(words: Words, ages: tuple[int, ...]) -> list[tuple[int, str, Drawing]]:
    """Return the least age of each group with its name and drawing."""
    if len(ages) < 2:
        return [(age, words.tr("asks.older", age=age), grown_up) for age in ages]
    named = [(low, words.tr("asks.between", low=low, high=high - 1)) for low, high in itertools.pairwise(ages)]
    named[0] = (ages[0], words.tr("asks.younger", age=ages[1]))
    named.append((ages[-1], words.tr("asks.older", age=ages[-1])))
    upper = (*ages[1:], 999)
    drawings = [lie_down if high <= BABY_BEFORE else small_child for high in upper[:-1]]
    return list(
        reversed([(age, label, drawing) for (age, label), drawing in zip(named, [*drawings, grown_up], strict=True)])
    )
