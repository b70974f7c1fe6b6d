"""Privacy: what the sitter agrees to before the camera looks, and what to beware of."""

from __future__ import annotations

from kiosk.core.geometry import Rect
from kiosk.core.view import Intent, Offer, SessionView
from kiosk.screens import theme
from kiosk.screens.layout import cut_bottom, cut_start, cut_top, layout, rows
from kiosk.screens.scene import Scene
from kiosk.screens.text import Style, fit
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
    details, caution = cut_bottom(details, CAUTION_HEIGHT, 16)
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


def _document(scene: Scene, area: Rect, document: Offer) -> None:
    """Say which document it is, and the authority's own condition where it has one, on a card as high as they are."""
    own, inner = scene.words.own, area.inset(28, 12, 28, 12)
    notice = fit(own(document.notice), inner.width, inner.height - 120, (theme.SMALLEST,), Style(theme.GUIDE))
    scene.fill(cut_top(area, 144 + (notice.height if document.notice else 0))[0], theme.SURFACE)
    title, rest = cut_top(inner, 62, 0)
    scene.text(title, own(document.title), theme.LABEL, bold=True)
    size, rest = cut_top(rest, 58, 0)
    scene.text(size, own(document.size_text), (theme.SMALLEST,), theme.MUTED)
    if document.notice:
        scene.text(rest, own(document.notice), (theme.SMALLEST,), theme.GUIDE, stand="top")


def _authority(scene: Scene, view: SessionView) -> str:
    if not view.rules_read_on:
        return scene.words.tr("privacy.authority_undated")
    return scene.words.tr("privacy.authority", date=scene.words.date(view.rules_read_on))
