"""Panels in front of a screen: help, call, languages, accessibility, and the warning that time is running out."""

from __future__ import annotations

import math

from kiosk.core.base.geometry import Rect
from kiosk.core.session.instructions import Instruction
from kiosk.core.session.time_limits import WARNING_S
from kiosk.core.view.intent import EASE_NAMES, LOUDEST, Intent
from kiosk.core.view.sitter import SessionView, State
from kiosk.screens.sitter.welcome import language_button
from kiosk.screens.toolkit import emblems, theme
from kiosk.screens.toolkit.composition import emblem_card, heading
from kiosk.screens.toolkit.layout import columns, cut_bottom, cut_top, grid, lines_over, rows
from kiosk.screens.toolkit.progress_ring import CountRing, track
from kiosk.screens.toolkit.scene import PanelPlace, Scene
from kiosk.screens.toolkit.text import Settled
from kiosk.screens.toolkit.widgets import button, footer, notes, switch, switch_scale

NO_WAY_BACK: tuple[State, ...] = ("paying", "printing", "unprinted", "money_back", "thanks")
"""In which states nobody can start again with a touch; a photo that is kept is wiped only after a question."""
VOICE_HEIGHT = 160.0
LARGE_PER_PAGE, FEWEST_PER_PAGE = 3, 2
"""How many options share a page with larger text, and where low controls take room from them as well."""


def paint_help(scene: Scene, view: SessionView) -> None:
    """Explain how the booth works, and offer to call a person."""
    tr = scene.words.tr
    area = scene.area
    shown = heading(scene, area.shown, tr("help.title"))
    steps = [("document", tr("find.text" if view.event.is_event else "help.choose")), ("camera", tr("help.align"))]
    if not view.event.is_event:
        steps += [("tray", tr(f"tray.{view.sheet.tray}"))] if view.sheet.tray is not None else []
        steps.append(("scissors", tr("collect.cut")))
    rest, close = cut_bottom(area.controls, 150, 28)
    others = [] if view.state in NO_WAY_BACK else [("start_again", tr("help.start_again"))]
    if not view.is_alone:
        others.append(("attendant", tr("called.title" if view.called else "help.attendant")))
    upper = cut_top(rest, 360)[0]
    if scene.ease.large_type:
        page = (others or steps) if scene.place.page % 2 else steps
        notes(scene, lines_over(shown, upper, len(page)), page)
        if others:
            close, more = columns(close, 2)
            button(scene, more, tr("button.next"), PanelPlace("help", page=1 - scene.place.page % 2))
    else:
        notes(scene, rows(shown, len(steps)), steps)
        if others:
            notes(scene, rows(upper, len(others)), others)
    if view.attended and not view.called:
        call, _ = cut_top(cut_bottom(rest, 130, 0)[1], 130)
        button(scene, call, tr("button.call"), Intent("call"), icon="attendant")
    button(scene, close, tr("button.close"), PanelPlace(), rank="main")


def paint_called(scene: Scene, view: SessionView) -> None:
    """Confirm that somebody is coming, and let the sitter go on in the meantime."""
    tr = scene.words.tr
    area = scene.area
    rest = heading(scene, area.shown, tr("called.title"), tr("called.text"))
    emblem_card(scene, rest, lambda on, box: on.icon(box, "attendant", theme.GUIDE, 5))
    button(scene, cut_top(area.controls, 150)[0], tr("button.go_on"), PanelPlace(), rank="main")
    footer(scene, area, help_=False, start_again=view.state not in ("welcome", *NO_WAY_BACK))


def paint_languages(scene: Scene, view: SessionView) -> None:
    """Offer all languages, each in its own script."""
    tr = scene.words.tr
    area = scene.area
    emblem_card(scene, heading(scene, area.shown, tr("language.title")), emblems.tongues)
    across, down = (2, 3) if len(view.languages) <= 6 else (3, math.ceil(len(view.languages) / 3))
    for cell, tag in zip(grid(area.controls, across, down, 16), view.languages, strict=False):
        language_button(scene, cell, tag, current=tag == view.language)
    button(scene, area.footer, tr("button.close"), PanelPlace(), icon="back")


def paint_ease(scene: Scene, view: SessionView) -> None:
    """Offer the accessibility options, each with a switch."""
    tr = scene.words.tr
    area = scene.area
    rest = heading(scene, area.shown, tr("ease.title"))
    emblem_card(scene, rest, lambda on, box: on.icon(box, "accessibility", theme.FOCUS, 6))
    rest = area.controls
    if view.has_voice:
        rest, voice = cut_bottom(rest, scene.high(VOICE_HEIGHT), 16)
        _voice(scene, voice, view)
    per_page, across = len(EASE_NAMES), 2
    if scene.ease.large_type:
        is_crowded = scene.is_portrait and scene.ease.low_controls
        per_page, across = FEWEST_PER_PAGE if is_crowded else LARGE_PER_PAGE, 1
    pages = -(-len(EASE_NAMES) // per_page)
    page = scene.place.page % pages
    cells = grid(rest, across, -(-per_page // across), 16)
    labels = {name: tr(f"ease.{name}") for name in EASE_NAMES}
    scale = switch_scale(scene, cells[0], list(labels.values()))
    for cell, name in zip(cells, EASE_NAMES[page * per_page :], strict=False):
        switch(scene, cell, labels[name], Intent("ease", name), on=getattr(view.ease, name), scale=scale)
    close, more = columns(area.footer, 2) if pages > 1 else (area.footer, None)
    button(scene, close, tr("button.close"), PanelPlace())
    if more is not None:
        button(scene, more, tr("button.next"), PanelPlace("ease", page=(page + 1) % pages))


def _voice(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Show the voice's volume, and let the sitter change it."""
    tr = scene.words.tr
    text, steps = cut_bottom(rect, theme.TARGET, 8)
    scene.text(text, tr("ease.voice", level=view.volume, most=LOUDEST), theme.DETAIL, theme.MUTED)
    quieter, louder = columns(steps, 2)
    button(scene, quieter, tr("ease.quieter"), Intent("volume", "-1"))
    button(scene, louder, tr("ease.louder"), Intent("volume", "1"))


def timeout_key(view: SessionView) -> str:
    """Return the key of what is said as the time runs out; an empty seat is not asked whether somebody is there."""
    is_unseen = view.state == "align" and view.align.instruction == Instruction.SIT_DOWN
    return "timeout.unseen" if is_unseen else "timeout.title"


def paint_warning(scene: Scene, view: SessionView) -> None:
    """Warn that the session is about to end, and let the sitter extend it with one touch."""
    tr = scene.words.tr
    area = scene.area
    left_s = math.ceil(view.time_left_s or 0.0)
    rest = heading(scene, area.shown, tr(timeout_key(view)), tr("timeout.text", count=left_s))
    emblem_card(scene, rest, lambda on, box: _count(on, box, left_s))
    more, rest = cut_top(area.controls, 150, 28)
    button(scene, more, tr("button.more_time"), Intent("more_time"), icon="clock", rank="main")
    again, _ = cut_top(rest, 130, 28)
    button(scene, again, tr("button.start_again"), Intent("start_again"), icon="start_again")


def _count(scene: Scene, ring: Rect, left_s: int) -> None:
    """Draw the seconds that are left in a ring that empties."""
    track(scene, ring)
    scene.text(ring, str(left_s), Settled((112,)), bold=True, align="centre")
    scene.moving.append(CountRing(scene.at(ring), WARNING_S))
