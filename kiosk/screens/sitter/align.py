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
from kiosk.screens.toolkit.layout import cut_bottom, cut_start, cut_top, grid, square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.live_picture import LivePicture
from kiosk.screens.toolkit.progress_ring import HoldRing, WaitRing, ring
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.widgets import LIVE, button, chips, footer, sign

STATUS_HEIGHT = 64.0
HEAD_HEIGHT = 330.0
HEAD_HEIGHT_LANDSCAPE = 210.0
CHIP_HEIGHT = 96.0
PERSON_HEIGHT = 100.0

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
    """Draw the screen for its state: align, shooting or measuring."""
    area = scene.area
    offers_person = view.align.wants_person and not view.called
    if scene.is_portrait:
        head, rest = cut_top(area.body, HEAD_HEIGHT)
        rest = Rect(rest.x, rest.y, rest.width, area.footer.y - theme.GAP - rest.y)
        upper, signs = cut_bottom(rest, 3 * scene.high(CHIP_HEIGHT) + 2 * 14)
        across, down = 2, 3
    else:
        head, rest = cut_top(area.body, HEAD_HEIGHT_LANDSCAPE)
        upper, side = cut_start(rest, rest.width - area.footer.width - theme.MARGIN, theme.MARGIN)
        signs = Rect(area.footer.x, side.y, area.footer.width, area.footer.y - theme.GAP - side.y)
        across, down = 1, 6
    if offers_person:
        upper, person = cut_bottom(upper, PERSON_HEIGHT, 14)
        button(scene, person, scene.words.tr("button.call"), Intent("call"), icon="attendant")
    picture, status = cut_bottom(upper, scene.high(STATUS_HEIGHT), 8)
    _instruction(scene, head, view)
    scene.moving.append(LivePicture(scene.at(picture), view.align.lens))
    _status(scene, status, view)
    chips(scene, grid(signs, across, down, 12), view.align.checks)
    footer(scene, area)


def _key(view: SessionView) -> str:
    if view.align.is_waiting:
        return "wait"
    if view.state == "align":
        return view.align.instruction or "wait"
    return "stay" if view.state == "shooting" else "measuring"


def words_box(rect: Rect) -> tuple[float, Rect]:
    """Return the side of the drawing at the top of the screen, and the box for the text beside it."""
    side = min(rect.height, 280)
    return side, cut_start(rect, side, 36)[1]


def _instruction(scene: Scene, rect: Rect, view: SessionView) -> None:
    key = _key(view)
    side, words = words_box(rect)
    place = square(cut_start(rect, side, 36)[0], side)
    if key == "measuring":
        ring(scene, place, key, WaitRing)
    elif key in ("hold_still", "stay"):
        ring(scene, place, key, HoldRing)
    else:
        figure(scene, place, view)
    scene.text(words, instruction_text(scene.words, view), theme.INSTRUCTION, bold=True)


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
        return words.tr(f"seat.{key}")
    return words.tr(f"instruction.{key}")


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
    """Write praise, the offer of a person's help, or the number of the shot and what was wrong with the last one."""
    tr = scene.words.tr
    if view.align.praise:
        place, words = cut_start(rect, 48, 16)
        sign(scene, square(place, 46), LIVE["pass"])
        scene.text(words, tr("align.praise"), (44, 42), theme.GOOD, bold=True)
    elif view.align.wants_person:
        place, words = cut_start(rect, 48, 16)
        scene.icon(square(place, 46), "attendant", theme.GUIDE, 9)
        scene.text(words, tr("called.title" if view.called else "align.person"), (44, 42), theme.GUIDE, bold=True)
    elif view.review.reasons and view.state == "align":
        place, words = cut_start(rect, 48, 16)
        sign(scene, square(place, 46), LIVE["fail"])
        scene.text(words, tr(f"reason.{view.review.reasons[0]}"), (44, 42), theme.GUIDE)
    elif view.shot:
        scene.text(rect, tr("align.shot", shot=view.shot, shots=view.shots), (44, 42), theme.MUTED)
