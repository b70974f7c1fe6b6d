"""Align, shooting and measuring: one instruction, the live picture, and the live requirements."""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.base.geometry import Rect
from kiosk.core.session.instructions import FROM_STILL, Instruction
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.instruction_figures import FIGURES
from kiosk.screens.toolkit.layout import ScreenLayout, cut_bottom, cut_start, cut_top, square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.live_picture import LivePicture
from kiosk.screens.toolkit.live_signs import live_signs, named
from kiosk.screens.toolkit.progress_ring import HoldRing, WaitRing, ring
from kiosk.screens.toolkit.scene import Scene, Stand
from kiosk.screens.toolkit.text import Settled, Style, fit
from kiosk.screens.toolkit.theme import ThemeColour
from kiosk.screens.toolkit.widgets import button, footer

STATUS_HEIGHT, SIGNS_HEIGHT = 190.0, 124.0
HEAD_HEIGHT = 330.0
PERSON_HEIGHT = 120.0
FIGURE_SHARE = 0.3
"""How much of a narrow column the drawing takes above the words."""
ABREAST = 900.0
"""From this width on the drawing stands beside the words."""
SIGN_ROOM = 116.0
SLACK = 4.0
"""What a line may be wider than it was measured, by rounding, before it wraps."""

OTHER_WORDS: Mapping[str, str] = {
    **{key: key for key in Instruction if key is not Instruction.HOLD_STILL},
    Instruction.MOVE_LEFT: "move_sideways",
    Instruction.MOVE_RIGHT: "move_sideways",
    Instruction.SIT_HIGHER: "seat_up",
    Instruction.SIT_LOWER: "seat_down",
    Instruction.TURN_LEFT: "turn",
    Instruction.TURN_RIGHT: "turn",
    Instruction.TILT_LEFT: "tilt",
    Instruction.TILT_RIGHT: "tilt",
}
"""The alternative wording if the first one has not helped: for left and right it refers to the arrow."""

LYING = frozenset(
    {
        Instruction.SIT_DOWN,
        Instruction.MOVE_BACK,
        Instruction.MOVE_CLOSER,
        Instruction.SIT_HIGHER,
        Instruction.SIT_LOWER,
        Instruction.CLEAR_BACKGROUND,
        Instruction.HOLD_STILL,
    }
)
"""The instructions with a wording of their own for a baby that lies below the camera."""

SEAT_STAYS: Mapping[str, str] = {Instruction.SIT_HIGHER: "camera_down", Instruction.SIT_LOWER: "camera_up"}
"""The wording for a seat that cannot be adjusted: the camera has to move instead."""


def paint(scene: Scene, view: SessionView) -> None:
    """Draw the screen for its state: align, shooting or measuring; all of it is read from the seat."""
    area = scene.area
    offers_person = view.align.wants_person and not view.called
    head = head_place(area, is_portrait=scene.is_portrait)
    if scene.is_portrait:
        rest = cut_top(area.body, HEAD_HEIGHT)[1]
        rest = Rect(rest.x, rest.y, rest.width, area.footer.y - theme.GAP - rest.y)
        picture, rest = cut_bottom(rest, STATUS_HEIGHT + SIGNS_HEIGHT + 12, 16)
        status, signs = cut_bottom(rest, SIGNS_HEIGHT, 12)
    else:
        picture = area.shown
        rest, signs = cut_bottom(area.controls, SIGNS_HEIGHT, 12)
        status = cut_bottom(rest, STATUS_HEIGHT, 12)[1]
    _instruction(scene, head, view)
    scene.moving.append(LivePicture(scene.at(picture), view.align.lens))
    if offers_person:
        button(scene, square_up(status, PERSON_HEIGHT), scene.words.tr("button.call"), Intent("call"), icon="attendant")
    else:
        _status(scene, status, view)
    live_signs(scene, signs, view.align.checks)
    footer(scene, area)


def _key(view: SessionView) -> str:
    if view.align.is_waiting:
        return "wait"
    if view.state == "align":
        return view.align.instruction or "wait"
    return "stay" if view.state == "shooting" else "measuring"


def head_place(area: ScreenLayout, *, is_portrait: bool) -> Rect:
    """Return the place of the instruction and its drawing."""
    if is_portrait:
        return cut_top(area.body, HEAD_HEIGHT)[0]
    return cut_bottom(cut_bottom(area.controls, SIGNS_HEIGHT, 12)[0], STATUS_HEIGHT, 12)[0]


def parted(rect: Rect) -> tuple[Rect, Rect]:
    """Return the square for the drawing and the box for the words: beside it, or below it in a narrow column."""
    if rect.width < ABREAST:
        figure, words = cut_top(rect, round(rect.height * FIGURE_SHARE), 16)
        return Rect(figure.x, figure.y, figure.height, figure.height), words
    side = min(rect.height, 280)
    figure, words = cut_start(rect, side, 36)
    return square(figure, side), words


def _instruction(scene: Scene, rect: Rect, view: SessionView) -> None:
    key = _key(view)
    place, words = parted(rect)
    if key == "measuring":
        ring(scene, place, key, WaitRing)
    elif key in ("hold_still", "stay"):
        ring(scene, place, key, HoldRing)
    else:
        figure(scene, place, view)
    stand: Stand = "top" if words.x == place.x else "middle"
    scene.text(words, instruction_text(scene.words, view), theme.INSTRUCTION, bold=True, stand=stand)


def carer_key(view: SessionView) -> str:
    """Return the key of the wording for a carer, or an empty string if there is none."""
    key = _key(view)
    if key == "wait" and not view.align.is_waiting:
        key = "sit_down"
    if key not in set(Instruction) or key in FROM_STILL:
        return ""
    if view.align.has_other_words and key != Instruction.HOLD_STILL:
        return "carer.again"
    return f"lying.{key}" if view.care == "lying" and key in LYING else f"carer.{key}"


def instruction_text(words: Words, view: SessionView) -> str:
    """Return the instruction in the wording that applies now."""
    key = _key(view)
    if view.care != "self" and (carer := carer_key(view)):
        return words.tr(carer)
    stays = view.ease.seat_stays and key in SEAT_STAYS
    if view.align.has_other_words and key in OTHER_WORDS:
        other = SEAT_STAYS[key] if stays else OTHER_WORDS[key]
        return words.tr(f"again.{other}", cm=max(abs(view.align.height_off_cm), 1))
    if stays:
        return words.tr(seat_key(view, key))
    return words.tr(f"instruction.{key}")


def seat_key(view: SessionView, key: str) -> str:
    """Return the key of the wording for a seat that stays: what to do where nobody can move the camera."""
    return f"seat.{key}_alone" if view.is_alone else f"seat.{key}"


def figure(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Draw the instruction on a disc, or a ring for holding still; flipped if the picture is not a mirror image."""
    key = _key(view)
    if view.care == "lying" and key in ("wait", Instruction.SIT_DOWN):
        key = "lie_down"
    scene.fill(rect, theme.ACCENT, rect.width / 2)
    margin = rect.width * 0.17
    drawing = FIGURES.get(key, FIGURES["wait"])
    ink = scene.colour(theme.INK)
    with Pen(
        scene.canvas, scene.at(rect.inset(margin, margin, margin, margin)), ink, 7, mirrored=not view.align.mirror
    ) as pen:
        drawing(pen)


def _status(scene: Scene, rect: Rect, view: SessionView) -> None:
    """Write one thing: praise, that somebody comes, what is not met yet, or which shot this is."""
    tr = scene.words.tr
    if view.align.praise:
        _said(scene, rect, tr("align.praise"), theme.GOOD)
    elif view.align.wants_person:
        _said(scene, rect, tr("called.title"), theme.GUIDE)
    elif key := named(view):
        _plate(scene, rect, tr(f"check.{key}"))
    elif view.shot:
        _said(scene, rect, count_text(scene.words, view), theme.MUTED)


def count_text(words: Words, view: SessionView) -> str:
    """Return which photo is being taken, or comes next while the sitter is coached; a lost one is taken once more."""
    number = view.shot + 1 if view.state == "align" else view.shot
    return words.tr("align.shot", shot=min(number, view.shots), shots=view.shots)


def _said(scene: Scene, rect: Rect, text: str, colour: ThemeColour) -> None:
    scene.text(rect, text, theme.SEATED, colour, bold=True)


def _plate(scene: Scene, rect: Rect, name: str) -> None:
    """Name what is not met yet on an amber plate, as wide as its name."""
    words = rect.inset(SIGN_ROOM, 8, 36, 8)
    block = fit(name, words.width, words.height, scene.scale(theme.SEATED), Style(theme.ON_AMBER, bold=True))
    height = min(block.height + 24, rect.height)
    plate = Rect(rect.x, rect.centre.y - height / 2, SIGN_ROOM + block.width + SLACK + 36, height)
    scene.fill(plate, theme.AMBER, 28)
    scene.icon(Rect(plate.x + 28, plate.centre.y - 32, 64, 64), "attention", theme.ON_AMBER, 9)
    scene.text(plate.inset(SIGN_ROOM, 0, 36, 0), name, Settled((int(block.size),)), theme.ON_AMBER, bold=True)


def square_up(rect: Rect, height: float) -> Rect:
    """Return a band of a height in the middle of a rectangle."""
    return Rect(rect.x, rect.centre.y - height / 2, rect.width, height)
