"""Colours, type sizes and dimensions of all screens.

Lengths are in design pixels: any screen has at least 1080 of them on its short side and 1920 on its long one. Colour
pairs keep WCAG 2.2 1.4.3 and 1.4.11 (4.5:1 for words, 3:1 for lines and icons that carry meaning). Colour never says
anything alone: an icon or a word does.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple

from kiosk.core.base.contrast import contrast_ratio, relative_luminance
from kiosk.core.view.sitter import SessionView

SHORT_SIDE, LONG_SIDE = 1080.0, 1920.0


class ThemeColour(NamedTuple):
    """An opaque sRGB colour, 0 to 255 per channel."""

    red: int
    green: int
    blue: int

    @property
    def argb(self) -> int:
        """The colour in skia's format."""
        return 0xFF000000 | self.red << 16 | self.green << 8 | self.blue

    @property
    def bgra(self) -> tuple[int, int, int, int]:
        """The colour in the format of the screen's pixels."""
        return self.blue, self.green, self.red, 255

    def faded(self, opacity: float) -> int:
        """Return the colour in skia's format with an opacity from 0 to 1."""
        return round(opacity * 255) << 24 | self.argb & 0xFFFFFF

    @property
    def luminance(self) -> float:
        """Relative luminance, 0 to 1 (WCAG 2.2, definition)."""
        return relative_luminance(self)


def contrast(one: ThemeColour, other: ThemeColour) -> float:
    """Return the contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition)."""
    return contrast_ratio(one, other)


INK = ThemeColour(0x15, 0x18, 0x1B)
SURFACE = ThemeColour(0x22, 0x27, 0x2B)
RAISED = ThemeColour(0x2E, 0x35, 0x3A)
LINE = ThemeColour(0x7F, 0x8B, 0x94)
TEXT = ThemeColour(0xFF, 0xFF, 0xFF)
MUTED = ThemeColour(0xC8, 0xD0, 0xD6)
GUIDE = ThemeColour(0xFF, 0xC5, 0x55)
ACCENT = ThemeColour(0xFF, 0xC4, 0x55)
"""What the sitter is to do next: the main button, the instruction's figure and the cue beside the head."""
AMBER, ON_AMBER = ThemeColour(0xFF, 0xC4, 0x57), ThemeColour(0x15, 0x18, 0x1D)
"""The ground of what is not met yet and of the cue, and the ink on it, which is dark in every theme."""
GOOD = ThemeColour(0x63, 0xDD, 0xB0)
STOP = ThemeColour(0xFF, 0x9D, 0x8A)
FOCUS = ThemeColour(0x8C, 0xCB, 0xFF)

STRONG: Mapping[ThemeColour, ThemeColour] = {
    INK: ThemeColour(0, 0, 0),
    SURFACE: ThemeColour(0, 0, 0),
    RAISED: ThemeColour(0, 0, 0),
    LINE: ThemeColour(0xFF, 0xFF, 0xFF),
    MUTED: ThemeColour(0xFF, 0xFF, 0xFF),
    GUIDE: ThemeColour(0xFF, 0xE0, 0x4D),
    ACCENT: ThemeColour(0xFF, 0xE0, 0x4D),
    AMBER: ThemeColour(0xFF, 0xE0, 0x4D),
    ON_AMBER: ThemeColour(0, 0, 0),
    GOOD: ThemeColour(0x8C, 0xFF, 0xCE),
    STOP: ThemeColour(0xFF, 0xC4, 0xB8),
    FOCUS: ThemeColour(0x9F, 0xDB, 0xFF),
}
"""The replacement of each colour with strong contrast: at least 13:1, where WCAG 2.2 1.4.6 (AAA) requires 7:1 for
text."""


LIGHT: Mapping[ThemeColour, ThemeColour] = {
    INK: ThemeColour(0xF4, 0xF4, 0xF1),
    SURFACE: ThemeColour(0xFF, 0xFF, 0xFF),
    RAISED: ThemeColour(0xFF, 0xFF, 0xFF),
    LINE: ThemeColour(0x7B, 0x7F, 0x86),
    TEXT: ThemeColour(0x15, 0x18, 0x1D),
    MUTED: ThemeColour(0x47, 0x4D, 0x57),
    GUIDE: ThemeColour(0x7A, 0x47, 0x00),
    ACCENT: ThemeColour(0x3A, 0x47, 0x9F),
    AMBER: ThemeColour(0xFF, 0xBF, 0x47),
    ON_AMBER: ThemeColour(0x15, 0x18, 0x1D),
    GOOD: ThemeColour(0x0B, 0x6B, 0x4F),
    STOP: ThemeColour(0xA3, 0x26, 0x1B),
    FOCUS: ThemeColour(0x3A, 0x47, 0x9F),
}
"""The replacement of each colour in the light theme; amber is darkened until words in it can be read."""

Look = Literal["dark", "light", "strong"]
"""The theme that the shop has set, or strong contrast, which a sitter has switched on."""


class Palette(NamedTuple):
    """The colours of a screen: its look, and the shop's own colour in place of `ACCENT`, where it has one."""

    look: Look = "dark"
    accent: ThemeColour | None = None


def palette_of(view: SessionView) -> Palette:
    """Return the colours of the screens for this view's sitter; strong contrast is nobody's own."""
    if view.ease.strong_contrast and view.desk is None:
        return Palette("strong")
    accent = ThemeColour(*view.accent) if view.accent and view.desk is None else None
    return Palette("light" if view.is_light else "dark", accent)


def shown(colour: ThemeColour, palette: Palette) -> ThemeColour:
    """Return the colour to paint in a palette."""
    if palette.accent is not None and colour == ACCENT:
        return palette.accent
    match palette.look:
        case "strong":
            return STRONG.get(colour, colour)
        case "light":
            return LIGHT[colour]
    return colour


TypeScale = tuple[int, ...]
INSTRUCTION: TypeScale = (112, 104, 96, 88, 80, 72)
HEADING: TypeScale = (92, 88, 84, 80, 76, 72)
TITLE: TypeScale = (88, 80, 72, 64, 58)
SEATED: TypeScale = (80, 76, 72)
"""Capitals of 0.7 degrees and more at 1 m on a 21.5 inch screen: what is read without leaving the seat."""
BODY: TypeScale = (50, 46, 42)
LABEL: TypeScale = (46, 42)
NAME: TypeScale = (46, 42, 40, 38, 36)
SWITCH: TypeScale = (50, 46, 42, 40, 38, 36)
DETAIL: TypeScale = (42, 40, 38, 36)
"""Capitals of 0.7 degrees at 0.6 m on a 21.5 inch screen, the distance of a hand that touches it; at 0.52 m where names
and numbers are long: EN 301 549 5.1.4."""

LARGER = (1.7, 1.55, 1.4, 1.25, 1.12)


def larger(scale: TypeScale) -> TypeScale:
    """Return a scale preceded by the sizes of large type."""
    return (*(round(scale[0] * factor) for factor in LARGER), *scale)


TARGET = 96.0
"""The minimum width and height of a touch target."""

MARGIN = 48.0
GAP = 20.0
RADIUS = 22.0
STROKE = 4.0
