"""Privacy: what the sitter agrees to before the camera looks, and what to beware of."""

from __future__ import annotations

from kiosk.core.geometry import Rect
from kiosk.core.view import Intent, Offer, SessionView
from kiosk.screens import theme
from kiosk.screens.layout import cut_bottom, cut_top, layout, rows
from kiosk.screens.scene import Scene
from kiosk.screens.widgets import button, footer, note


def paint(scene: Scene, view: SessionView) -> None:
    """Lay the screen out."""
    tr = scene.words.tr
    area = layout(scene.size)
    title, shown = cut_top(area.shown, 200, 24)
    scene.text(title, tr("privacy.title"), theme.INSTRUCTION, bold=True, stand="middle")
    notes = [
        ("camera", tr("privacy.camera")),
        ("wipe", tr("privacy.memory")),
        ("person", tr("privacy.personal")),
    ]
    for line, (icon, text) in zip(rows(shown, len(notes), 12), notes, strict=True):
        note(scene, line, icon, text, theme.TEXT)

    upper, agree = cut_bottom(area.controls, 150, 28)
    rest, back = cut_bottom(upper, 104, 28)
    button(scene, back, tr("button.back"), Intent("back"), icon="back")
    button(scene, agree, tr("button.agree"), Intent("agree"), rank="main")
    if view.document is not None:
        card, rest = cut_top(rest, 250 if view.document.notice else 150, 20)
        _document(scene, card, view.document)
    authority, caution = rows(rest, 2, 12)
    note(scene, authority, "authority", _authority(scene, view), theme.TEXT)
    note(scene, caution, "flash", tr("flash"), theme.GUIDE)
    footer(scene, area)


def _document(scene: Scene, rect: Rect, document: Offer) -> None:
    scene.fill(rect, theme.SURFACE)
    inner = rect.inset(28, 10, 28, 10)
    title, rest = cut_top(inner, 62, 0)
    scene.text(title, scene.words.own(document.title), theme.LABEL, bold=True)
    size, notice = cut_top(rest, 60, 0)
    scene.text(size, scene.words.own(document.size_text), (theme.SMALLEST,), theme.MUTED)
    if document.notice:
        scene.text(notice, scene.words.own(document.notice), (theme.SMALLEST,), theme.GUIDE)


def _authority(scene: Scene, view: SessionView) -> str:
    if not view.rules_read_on:
        return scene.words.tr("privacy.authority_undated")
    return scene.words.tr("privacy.authority", date=scene.words.date(view.rules_read_on))
