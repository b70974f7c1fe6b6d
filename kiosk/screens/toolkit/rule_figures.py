"""Small drawings of a photo's rules, in pairs: as it must be, and as it must not be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from kiosk.screens.toolkit.icons import Drawing
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.pose_figures import head, lie_down, shoulders, small_child

Rule = Literal["face", "glasses_on", "glasses_off", "head", "hair", "alone", "lying"]


def _bust(pen: Pen, *, look: tuple[float, float] = (0, 0), mouth: str = "none") -> None:
    head(pen, 50, 46, 0.95, look=look, mouth=mouth)
    shoulders(pen, 50, 86)
    if mouth == "none":
        x, y = 50 + look[0], 60 + look[1]
        pen.line((x - 7, y), (x + 7, y))


def _straight(pen: Pen) -> None:
    _bust(pen)


def _laughing(pen: Pen) -> None:
    _bust(pen, look=(8, -5), mouth="open")


def _glasses(pen: Pen) -> None:
    shoulders(pen, 50, 86)
    pen.oval(50, 46, 28, 34)
    pen.line((43, 66), (57, 66))
    _small_spectacles(pen)


def _small_spectacles(pen: Pen) -> None:
    for x in (38, 62):
        pen.oval(x, 42, 10, 8)
        pen.dot(x, 42, 3)
    pen.line((48, 42), (52, 42))


def _shining_glasses(pen: Pen) -> None:
    _glasses(pen)
    for x in (32, 56):
        pen.line((x, 50), (x + 12, 34))


def _hat(pen: Pen) -> None:
    _bust(pen)
    pen.line((12, 26), (88, 26))
    pen.line((26, 26), (30, 4), (70, 4), (74, 26))


def _hair_over_eyes(pen: Pen) -> None:
    _bust(pen)
    for x in (34, 42, 50):
        pen.curve((52, 14), (x - 6, 26), (x - 8, 48))


def _two_people(pen: Pen) -> None:
    head(pen, 34, 54, 0.7)
    head(pen, 76, 34, 0.7)
    pen.curve((52, 70), (68, 72), (78, 60))


def _toy(pen: Pen) -> None:
    lie_down(pen)
    pen.circle(80, 40, 9)


PAIRS: Mapping[Rule, tuple[Drawing, Drawing]] = {
    "face": (_straight, _laughing),
    "glasses_on": (_glasses, _shining_glasses),
    "glasses_off": (_straight, _glasses),
    "head": (_straight, _hat),
    "hair": (_straight, _hair_over_eyes),
    "alone": (small_child, _two_people),
    "lying": (lie_down, _toy),
}
"""What is right, and what is wrong, by the rule."""
