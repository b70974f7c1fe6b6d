"""Privacy: what the sitter agrees to before the camera starts, and the cautions."""

from __future__ import annotations

from kiosk.core.base.geometry import Rect
from kiosk.core.view.choice import DocumentOffer, Guest
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_bottom, cut_start, cut_top, rows
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.text import Style, fit
from kiosk.screens.toolkit.widgets import button, document_detail, document_title, footer, note, notes, switch, wiped

BUTTON_HEIGHT = 140.0
CAUTION_HEIGHT = 160.0
CARD_HEIGHT, SWITCH_HEIGHT = 130.0, 200.0


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    tr = scene.words.tr
    area = scene.area
    title, promises = cut_top(area.shown, 110, 12)
    scene.text(title, tr("privacy.title"), theme.TITLE, bold=True)
    details, buttons = cut_bottom(area.controls, BUTTON_HEIGHT, 24)
    details, caution = cut_bottom(details, CAUTION_HEIGHT, 16)
    promised = [
        ("camera", tr("privacy.codes" if view.event.is_event else "privacy.camera")),
        ("wipe", wiped(scene, view, "privacy.memory", "privacy.kept")),
        ("person", tr("privacy.personal")),
        ("authority", tr("privacy.organiser") if view.event.is_event else _authority(scene, view)),
    ]
    notes(scene, rows(promises, len(promised), 8), promised)
    note(scene, caution, "flash", tr("flash"), theme.GUIDE)
    if view.event.guest is not None:
        _guest(scene, details, view, view.event.guest)
    elif view.document is not None:
        _document(scene, details, view.document)
    back, agree = cut_start(buttons, buttons.width * 0.34)
    if view.event.guest is not None:
        button(scene, back, tr("button.without_photo"), Intent("without_photo"))
    else:
        button(scene, back, tr("button.back"), Intent("back"))
    button(scene, agree, tr("button.agree"), Intent("agree"), rank="main")
    footer(scene, area)


def _guest(scene: Scene, area: Rect, view: SessionView, guest: Guest) -> None:
    """Show whose badge it is, and let the guest share the photo if the organiser asks for it."""
    card, below = cut_top(area, CARD_HEIGHT, 20)
    scene.fill(card, theme.SURFACE)
    name = scene.words.tr("privacy.badge", name=guest.name)
    scene.text(card.inset(28, 12, 28, 12), name, theme.NAME, bold=True)
    if view.event.shared_until:
        asked = scene.words.tr("privacy.share", date=scene.words.date(view.event.shared_until))
        switch(scene, cut_top(below, min(below.height, SWITCH_HEIGHT))[0], asked, Intent("share"), on=view.event.shares)


def _document(scene: Scene, area: Rect, document: DocumentOffer) -> None:
    """Show the document, and whether its authority accepts booth photos, on a card of fitting height."""
    words, inner = scene.words, area.inset(28, 12, 28, 12)
    notice = "" if document.channel == "self_service" else words.tr(f"channel.{document.channel}")
    parts = [
        (document_title(words, document), theme.NAME, Style(theme.TEXT, bold=True), 110.0),
        (document_detail(words, document), theme.DETAIL, Style(theme.MUTED), 54.0),
        (notice, theme.DETAIL, Style(theme.GUIDE), inner.height - 164),
    ]
    heights = [
        fit(text, inner.width, room, scene.scale(scale), style).height if text else 0
        for text, scale, style, room in parts
    ]
    scene.fill(cut_top(area, sum(heights) + 24)[0], theme.SURFACE)
    for (text, scale, style, _), height in zip(parts, heights, strict=True):
        place, inner = cut_top(inner, height, 0)
        if text:
            scene.text(place, text, scale, style.colour, bold=style.bold)


def _authority(scene: Scene, view: SessionView) -> str:
    if not view.rules_read_on:
        return scene.words.tr("privacy.authority_undated")
    return scene.words.tr("privacy.authority", date=scene.words.date(view.rules_read_on))
