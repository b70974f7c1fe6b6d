"""Signs for the outcomes of requirements, live and of a finished photo; they differ in shape, not only in colour."""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.theme import ThemeColour

Sign = tuple[str, ThemeColour]

LIVE: Mapping[Word, Sign] = {
    "pass": ("tick", theme.GOOD),
    "fail": ("attention", theme.GUIDE),
    "refer": ("attention", theme.GUIDE),
    "unmeasured": ("dots", theme.MUTED),
    "advise": ("note", theme.MUTED),
}
"""The icon and colour of a live requirement for each outcome; one that is not met yet does not look like a failure."""

FINAL: Mapping[Word, Sign] = {**LIVE, "fail": ("cross", theme.STOP)}
"""The icon and colour of a finished photo's requirement for each outcome."""


def sign(scene: Scene, rect: Rect, of: Sign) -> None:
    """Draw the sign of an outcome: a disc with a tick, a ring with a cross, a diamond, or dots."""
    icon, colour = of
    if icon == "tick":
        scene.fill(rect, colour, rect.width / 2)
        scene.icon(rect.inset(*(rect.width * 0.12,) * 4), icon, theme.INK, 13)
    else:
        scene.icon(rect, icon, colour, 9)
