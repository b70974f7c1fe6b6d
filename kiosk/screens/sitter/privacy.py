"""Privacy: what this age's photo needs as small drawings, and what the sitter agrees to at their foot.

At an event the screen holds the promises alone, whose badge it is, and whether the organiser may have the photo.
"""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.core.base.geometry import Rect
from kiosk.core.view.choice import Guest
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_bottom, cut_start, cut_top, lines_over, rows, square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.outcome_signs import FINAL, sign
from kiosk.screens.toolkit.rule_figures import PAIRS, Rule
from kiosk.screens.toolkit.scene import PanelPlace, Scene
from kiosk.screens.toolkit.text import Style, largest_common
from kiosk.screens.toolkit.widgets import button, caution, document_title, footer, note, notes, switch, wiped

BUTTON_HEIGHT = 132.0
CAUTION_HEIGHT = 160.0
CARD_HEIGHT, SWITCH_HEIGHT = 130.0, 200.0
TITLE_HEIGHT, WHICH_HEIGHT = 100.0, 56.0
TITLE_HEIGHT_LANDSCAPE = 190.0
FIGURE_SIDE, MARK_SIDE = 106.0, 44.0
PAIR_WIDTH = 2 * FIGURE_SIDE + 20.0
CROWDED = 4
"""How many rules still share a page with the promises on a landscape screen, or where low controls take room."""
LARGE_PER_PAGE = 4
"""How many rules share a page with larger text."""


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen; larger text, or many rules in little height, have rules and promises on pages of their own."""
    tr, area = scene.words.tr, scene.area
    details, buttons = cut_bottom(area.controls, BUTTON_HEIGHT, 20)
    back, agree = cut_start(buttons, buttons.width * 0.34)
    footer(scene, area)
    rules = list(_rules(view))
    if view.event.guest is not None:
        _for_badge(scene, details, view, view.event.guest)
        if scene.ease.large_type and scene.place.page == 0:
            button(scene, back, tr("button.without_photo"), Intent("without_photo"))
            button(scene, agree, tr("button.next"), PanelPlace(page=1), rank="main")
            return
        button(scene, back, tr("button.without_photo"), Intent("without_photo"))
    elif not scene.ease.large_type and (len(rules) <= CROWDED or (scene.is_portrait and not scene.ease.low_controls)):
        shown = _heading(scene, view)
        _show_rules(scene, rows(shown, len(rules), 12), rules)
        promises = _promises(scene, view)
        notes(scene, rows(details, len(promises), 8), promises, theme.NAME)
        button(scene, back, tr("button.back"), Intent("back"))
    else:
        pages = _parted(rules, LARGE_PER_PAGE if scene.ease.large_type else len(rules))
        page = min(scene.place.page, len(pages))
        if page == 0:
            button(scene, back, tr("button.back"), Intent("back"))
        else:
            button(scene, back, tr("button.previous"), PanelPlace(page=page - 1))
        if page < len(pages):
            _show_rules(scene, lines_over(_heading(scene, view), details, len(pages[page])), pages[page])
            button(scene, agree, tr("button.next"), PanelPlace(page=page + 1), rank="main")
            return
        promises = _promises(scene, view)
        notes(scene, lines_over(area.shown, details, len(promises)), promises, theme.NAME)
    button(scene, agree, tr("button.agree"), Intent("agree"), rank="main")


def _parted(rules: list[tuple[Rule, str]], most: int) -> list[list[tuple[Rule, str]]]:
    """Return the rules in pages of so many at most, none of which is much emptier than another."""
    pages = -(-len(rules) // most)
    each = -(-len(rules) // pages)
    return [rules[start : start + each] for start in range(0, len(rules), each)]


def _heading(scene: Scene, view: SessionView) -> Rect:
    """Write for which document the rules are, and return the room below."""
    height = TITLE_HEIGHT if scene.is_portrait else TITLE_HEIGHT_LANDSCAPE
    title, shown = cut_top(scene.area.shown, height, 8)
    which, shown = cut_top(shown, WHICH_HEIGHT, 16)
    scene.text(title, scene.words.tr("asks.title"), theme.TITLE, bold=True)
    if view.document is not None:
        scene.text(which, document_title(scene.words, view.document), theme.DETAIL, theme.MUTED)
    return shown


def _show_rules(scene: Scene, lines: list[Rect], rules: list[tuple[Rule, str]]) -> None:
    """Draw a pair of figures and a sentence for each rule, all in one size but those that grow with larger text."""
    least = min(lines, key=lambda line: line.height)
    _, words = cut_start(least, PAIR_WIDTH, 28)
    texts = [scene.words.tr(key) for _, key in rules]
    scale = largest_common(texts, words.width, words.height, scene.scale(theme.NAME), Style(theme.TEXT))
    for line, (rule, _), text in zip(lines, rules, texts, strict=True):
        pair, words = cut_start(line, PAIR_WIDTH, 28)
        _pair(scene, pair, rule)
        scene.text(words, text, theme.NAME if scene.ease.large_type else scale)


def _promises(scene: Scene, view: SessionView) -> list[tuple[str, str]]:
    """Return what becomes of the pictures and of the face's data, and the cautions, each with its icon."""
    tr = scene.words.tr
    return [
        ("wipe", wiped(scene, view, "privacy.memory", "privacy.kept")),
        ("person", tr("privacy.personal")),
        ("authority", _authority(scene, view)),
        ("flash", caution(scene, view)),
    ]


def _rules(view: SessionView) -> Iterator[tuple[Rule, str]]:
    """Yield the rules that hold for this document and age, each with the key of its sentence."""
    document = view.document
    if view.care == "lying":
        yield "lying", "asks.lying"
    else:
        yield "face", _face_key(view)
    if view.care == "child":
        yield "alone", "asks.alone"
    if document is not None and document.glasses is not None and view.care != "lying":
        yield ("glasses_on", "asks.glasses_on") if document.glasses else ("glasses_off", "asks.glasses_off")
    yield "head", "asks.head"
    yield "hair", "asks.light"


def _face_key(view: SessionView) -> str:
    """Return the key for the face: fewer things are asked of a child where the rules lift them."""
    asked = view.document.asks_of_face if view.document is not None else "all"
    return {"all": "asks.face", "eyes": "asks.face_eyes", "nothing": "asks.face_only"}[asked]


def _pair(scene: Scene, rect: Rect, rule: Rule) -> None:
    """Draw what is right beside what is wrong, each with its sign."""
    side = min(FIGURE_SIDE, rect.height)
    right, wrong = cut_start(rect, rect.width / 2 - 10, 20)
    marks = FINAL["pass"], FINAL["fail"]
    for place, drawing, mark, colour in zip((right, wrong), PAIRS[rule], marks, (theme.TEXT, theme.MUTED), strict=True):
        box = square(place, side)
        with Pen(scene.canvas, scene.at(box), scene.colour(colour), 5) as pen:
            drawing(pen)
        sign(scene, Rect(box.right - MARK_SIDE, box.bottom - MARK_SIDE, MARK_SIDE, MARK_SIDE), mark)


def _for_badge(scene: Scene, details: Rect, view: SessionView, guest: Guest) -> None:
    """Write the promises to a guest, and ask whether the organiser may have the photo."""
    tr = scene.words.tr
    title, promises = cut_top(scene.area.shown, TITLE_HEIGHT, 12)
    scene.text(title, tr("privacy.title"), theme.TITLE, bold=True)
    promised = [
        ("camera", tr("privacy.codes")),
        ("wipe", wiped(scene, view, "privacy.memory", "privacy.kept")),
        ("person", tr("privacy.personal")),
        ("authority", tr("privacy.organiser")),
    ]
    if not scene.ease.large_type:
        notes(scene, rows(promises, len(promised), 8), promised)
    elif scene.place.page == 0:
        notes(scene, lines_over(promises, details, len(promised)), promised)
        return
    details, warned = cut_bottom(details, scene.high(CAUTION_HEIGHT), 16)
    note(scene, warned, "flash", caution(scene, view), theme.GUIDE)
    _guest(scene, details, view, guest)


def _guest(scene: Scene, area: Rect, view: SessionView, guest: Guest) -> None:
    """Show whose badge it is, and let the guest share the photo if the organiser asks for it."""
    card, below = cut_top(area, CARD_HEIGHT, 20)
    scene.fill(card, theme.SURFACE)
    name = scene.words.tr("privacy.badge", name=guest.name)
    scene.text(card.inset(28, 12, 28, 12), name, theme.NAME, bold=True)
    if view.event.shared_until:
        asked = scene.words.tr("privacy.share", date=scene.words.date(view.event.shared_until))
        switch(scene, cut_top(below, min(below.height, SWITCH_HEIGHT))[0], asked, Intent("share"), on=view.event.shares)


def _authority(scene: Scene, view: SessionView) -> str:
    """Return whether the authority takes photos from a booth where that is not certain, or that it decides."""
    if view.document is not None and view.document.channel != "self_service":
        return scene.words.tr(f"channel.{view.document.channel}")
    if not view.rules_read_on:
        return scene.words.tr("privacy.authority_undated")
    return scene.words.tr("privacy.authority", date=scene.words.date(view.rules_read_on))
