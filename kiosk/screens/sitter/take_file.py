"""The photo as a file: the way it is to take, the code for a phone or the wait for a stick, and what became of it."""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.view.handover import FileFault, FileWay, HandoverView
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.code_sign import code_sign
from kiosk.screens.toolkit.composition import emblem_card, heading, with_lines
from kiosk.screens.toolkit.layout import cut_bottom, rows, square
from kiosk.screens.toolkit.outcome_signs import FINAL, sign
from kiosk.screens.toolkit.progress_ring import waiting
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import button, footer, notes

BUTTON_HEIGHT = 130.0
GAP_HEIGHT = 24.0
LARGEST_RING = 340.0
LINE_SHARE = 0.36
"""The share of the code's room that a sentence takes where its text is larger."""

TAKEN: Mapping[FileWay, str] = {"phone": "file.taken_phone", "stick": "file.taken_stick"}
FAILURES: Mapping[FileFault, str] = {
    "late": "file.late",
    "lost": "file.lost",
    "offline": "file.offline",
    "full": "file.full",
    "read_only": "file.read_only",
    "pulled": "file.pulled",
    "unwritable": "file.unwritable",
}
WAYS: Mapping[FileWay, str] = {"phone": "file.phone", "stick": "file.stick"}


def title_key(handover: HandoverView) -> str:
    """Return the key of the screen's title, which the voice reads."""
    match handover.stage:
        case "opening":
            return "file.opening"
        case "link":
            return "file.scan"
        case "insert":
            return "file.insert"
        case "writing":
            return "file.writing"
        case "taken":
            return TAKEN[handover.by or "phone"]
        case "failed":
            return FAILURES[handover.failure or "lost"]
    return "file.title"


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen."""
    handover, tr = view.handover, scene.words.tr
    text = tr("file.taken_text") if handover.stage == "taken" else ""
    rest = heading(scene, scene.area.shown, tr(title_key(handover)), text)
    acts = _acts(scene.words, handover)
    high = len(acts) * (BUTTON_HEIGHT + GAP_HEIGHT) - GAP_HEIGHT
    lines, buttons = cut_bottom(scene.area.controls, max(high, 0.0), 28)
    items = _said(scene.words, handover)
    if not items:
        rest = with_lines(scene, rest, lines)
    spare = None
    if handover.stage == "link":
        if scene.ease.large_type:
            rest, spare = cut_bottom(rest, rest.height * LINE_SHARE, 16)
        code_sign(scene, rest, handover.link)
    elif handover.stage in ("opening", "writing"):
        waiting(scene, square(rest, min(rest.width, rest.height, LARGEST_RING)), "document")
    elif handover.stage == "taken":
        emblem_card(scene, rest, lambda on, box: sign(on, box, FINAL["pass"]))
    else:
        icon = {"insert": "stick", "failed": "attention"}.get(handover.stage, "document")
        emblem_card(scene, rest, lambda on, box: on.icon(box, icon, theme.GUIDE, 5))
    if items and spare is None:
        notes(scene, rows(lines, len(items), 12), items, theme.NAME)
    elif spare is not None:  # the first sentence stands in the room that the code has spared
        for line, item in zip([spare, *rows(lines, len(items) - 1, 12)], items, strict=True):
            notes(scene, [line], [item], theme.NAME)
    is_final = not handover.is_held and handover.stage in ("taken", "failed")
    places = rows(buttons, len(acts), GAP_HEIGHT) if acts else ()
    for index, (place, (label, act, icon)) in enumerate(zip(places, acts, strict=True)):
        is_main = is_final or (handover.is_held and index == 0)
        button(scene, place, label, act, icon=icon, rank="main" if is_main else "other")
    footer(scene, scene.area, start_again=handover.stage != "writing")


def _acts(words: Words, handover: HandoverView) -> list[tuple[str, Intent, str]]:
    """Return the buttons: label, what a touch does, and icon."""
    acts: list[tuple[str, Intent, str]] = []
    if handover.is_held:
        acts += [(words.tr(WAYS[way]), Intent("take_file", way), way) for way in handover.ways]
    if handover.is_held or handover.stage in ("link", "insert"):
        acts.append((words.tr("button.back"), Intent("back"), "back"))
    elif handover.stage != "writing":
        acts.append((words.tr("button.done"), Intent("done"), "tick"))
    return acts


def _said(words: Words, handover: HandoverView) -> list[tuple[str, str]]:
    """Return what is to be known while the file is on its way."""
    tr, items = words.tr, list[tuple[str, str]]()
    if handover.stage == "link":
        wifi = tr("file.wifi", name=handover.wifi) if handover.wifi else tr("file.wifi_any")
        host, _, code = handover.link.rpartition("/")
        items += [("phone", wifi), ("note", words.own(f"{host}/\n{code}"))]
    elif handover.stage == "insert":
        items.append(("stick", tr("file.insert_text")))
    if handover.stage in ("link", "insert"):
        minutes, seconds = divmod(handover.wiped_in_s, 60)
        items.append(("clock", tr("file.time", time=f"{minutes}:{seconds:02}")))
    return items
