"""Privacy: what the sitter agrees to before the camera looks, and what to beware of."""

from __future__ import annotations

from kiosk.core.geometry import Rect
from kiosk.core.view import Intent, Offer, SessionView
from kiosk.screens import theme
from kiosk.screens.layout import cut_bottom, cut_start, cut_top, layout, rows
from kiosk.screens.scene import Scene
from kiosk.screens.widgets import button, footer, note

BUTTON_HEIGHT = 140.0
CAUTION_HEIGHT = 160.0


def paint(scene: Scene, view: SessionView) -> None:
    """Lay the screen out."""
    tr = scene.words.tr
    area = layout(scene.size)
    title, promises = cut_top(area.shown, 110, 12)
    scene.text(title, tr("privacy.title"), theme.TITLE, bold=True)
    details, buttons = cut_bottom(area.controls, BUTTON_HEIGHT, 24)
    if scene.is_portrait:
        details, caution = cut_bottom(details, CAUTION_HEIGHT, 16)
    else:
        promises, caution = cut_bottom(promises, CAUTION_HEIGHT, 16)
    notes = [
        ("camera", tr("privacy.camera")),
        ("wipe", tr("privacy.memory")),
        ("person", tr("privacy.personal")),
        ("authority", _authority(scene, view)),
    ]
    for line, (icon, text) in zip(rows(promises, len(notes), 8), notes, strict=True):
        note(scene, line, icon, text, theme.TEXT)
    note(scene, caution, "flash", tr("flash"), theme.GUIDE)
    if view.document is not None:
        _document(scene, details, view.document)
    back, agree = cut_start(buttons, buttons.width * 0.34)
    button(scene, back, tr("button.back"), Intent("back"))
    button(scene, agree, tr("button.agree"), Intent("agree"), rank="main")
    footer(scene, area)


def _document(scene: Scene, rect: Rect, document: Offer) -> None:
    """Say which document it is, and the authority's own condition where it has one."""
    scene.fill(rect, theme.SURFACE)
    inner = rect.inset(28, 16, 28, 16)
    title, rest = cut_top(inner, 64, 0)
    scene.text(title, scene.words.own(document.title), theme.LABEL, bold=True)
    size, rest = cut_top(rest, 60, 4)
    scene.text(size, scene.words.own(document.size_text), (theme.SMALLEST,), theme.MUTED)
    if document.notice:
        scene.text(rest, scene.words.own(document.notice), (theme.SMALLEST,), theme.GUIDE, stand="top")


def _authority(scene: Scene, view: SessionView) -> str:
    if not view.rules_read_on:
        return scene.words.tr("privacy.authority_undated")
    return scene.words.tr("privacy.authority", date=scene.words.date(view.rules_read_on))
