"""The live requirements as a row of signs, each in its own place; what is not met yet is named beside them.

From the seat a name must be as large as an instruction, so there is room for one at a time: that of what is asked for.
"""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.base.geometry import Rect
from kiosk.core.session.instructions import CHECK_OF
from kiosk.core.view.align import Check
from kiosk.core.view.sitter import SessionView
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.icons import Drawing
from kiosk.screens.toolkit.layout import columns, square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.outcome_signs import LIVE, sign
from kiosk.screens.toolkit.scene import Scene

SIDE = 116.0
"""The diameter of a sign: 1.6 degrees at 1 m on a 21.5 inch screen."""
BADGE = 0.42
"""The side of the badge on a sign that shows the outcome, as a share of the sign's."""


def _position(pen: Pen) -> None:
    for x, y, along, down in ((10, 10, 1, 1), (90, 10, -1, 1), (10, 90, 1, -1), (90, 90, -1, -1)):
        pen.line((x + 18 * along, y), (x, y), (x, y + 18 * down))
    pen.oval(50, 50, 19, 25)


def _facing(pen: Pen) -> None:
    pen.oval(50, 50, 32, 42)
    for x in (38, 62):
        pen.dot(x, 42, 5)
    pen.line((50, 48), (50, 60))
    pen.line((40, 74), (60, 74))


def _eyes(pen: Pen) -> None:
    pen.curve((6, 50), (50, 6), (94, 50))
    pen.curve((94, 50), (50, 94), (6, 50))
    pen.circle(50, 50, 13)


def _mouth(pen: Pen) -> None:
    pen.curve((8, 50), (34, 18), (50, 32))
    pen.curve((50, 32), (66, 18), (92, 50))
    pen.curve((92, 50), (50, 94), (8, 50))
    pen.line((8, 50), (92, 50))


def _light(pen: Pen) -> None:
    pen.circle(50, 50, 20)
    for x, y, far_x, far_y in (
        (50, 4, 50, 16),
        (50, 84, 50, 96),
        (4, 50, 16, 50),
        (84, 50, 96, 50),
        (17, 17, 26, 26),
        (74, 74, 83, 83),
        (17, 83, 26, 74),
        (74, 26, 83, 17),
    ):
        pen.line((x, y), (far_x, far_y))


def _background(pen: Pen) -> None:
    pen.box(8, 8, 84, 84, 6)
    pen.oval(50, 46, 15, 19)
    pen.curve((22, 92), (24, 72), (50, 72))
    pen.curve((50, 72), (76, 72), (78, 92))


SIGNS: Mapping[str, Drawing] = {
    "position": _position,
    "facing_forward": _facing,
    "eyes_open": _eyes,
    "mouth_closed": _mouth,
    "even_light": _light,
    "plain_background": _background,
}
"""The drawing of each live requirement, by its key."""

AMBER = ("fail", "refer")


def live_signs(scene: Scene, rect: Rect, checks: tuple[Check, ...]) -> None:
    """Draw a sign for each requirement; its ground, edge and badge show the outcome."""
    for cell, check in zip(columns(rect, max(len(checks), 1), 0), checks, strict=False):
        place = square(cell, min(SIDE, rect.height, cell.width - 8))
        is_amber, is_open = check.word in AMBER, check.word == "unmeasured"
        scene.fill(place, theme.AMBER if is_amber else theme.SURFACE, place.width / 2)
        if not is_amber:
            scene.outline(place, theme.LINE if is_open else theme.GOOD, 4, place.width / 2)
        colour = theme.ON_AMBER if is_amber else theme.MUTED if is_open else theme.TEXT
        margin = place.width * 0.25
        with Pen(scene.canvas, scene.at(place.inset(*(margin,) * 4)), scene.colour(colour), 9) as pen:
            SIGNS[check.key](pen)
        side = place.width * BADGE
        badge = Rect(place.right - side * 0.8, place.y - side * 0.2, side, side)
        scene.fill(badge.grown(4), theme.INK, side / 2 + 4)
        sign(scene, badge, LIVE[check.word])


def named(view: SessionView) -> str:
    """Return the key of the requirement to name: the one that is asked for, or another that is not met; or empty."""
    amber = [check.key for check in view.align.checks if check.word in AMBER]
    asked = next((check for ask, check in CHECK_OF.items() if ask == view.align.instruction), "")
    return asked if asked in amber else amber[0] if amber else ""
