"""Check the shop's own look: its logo, its colour, and whether the screen can be read from the seat."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kiosk.core.base.contrast import LEAST_FOR_TEXT
from kiosk.core.view.finding import Finding
from kiosk.errors import SettingsRefused
from kiosk.screens.toolkit.shop import contrast_with_label, legible
from kiosk.screens.toolkit.text import CAPITAL_HEIGHT
from kiosk.screens.toolkit.theme import LONG_SIDE, SEATED, SHORT_SIDE, ThemeColour
from kiosk.settings import Settings
from kiosk.settings.logo import read_logo

LEAST_DEG = 0.7
"""The least height of a capital at the reading distance: EN 301 549 V3.2.1, 5.1.4."""


def look_findings(settings: Settings) -> Iterator[Finding]:
    """Yield the findings on the logo, the colour and the seat, where the settings have them."""
    if settings.screen.logo:
        yield _logo(settings)
    if settings.screen.colour:
        yield _colour(settings)
    if settings.screen.inches is not None:
        yield _seat(settings, settings.screen.inches)


def _seat(settings: Settings, inches: float) -> Finding:
    """Check the smallest words that are read while the pose is held."""
    short_px, long_px = sorted(settings.screen.size_px)
    pixel_mm = inches * 25.4 / math.hypot(short_px, long_px)
    design_mm = pixel_mm * min(short_px / SHORT_SIDE, long_px / LONG_SIDE)
    capital_mm = min(SEATED) * CAPITAL_HEIGHT * design_mm
    height_deg = math.degrees(math.atan(capital_mm / (1000 * settings.screen.seat_m)))
    farthest_m = capital_mm / 1000 / math.tan(math.radians(LEAST_DEG))
    return Finding(
        "seat",
        round(height_deg, 2),
        "degrees",
        height_deg >= LEAST_DEG,
        f"Words read from the seat are {height_deg:.2f} degrees high at {settings.screen.seat_m:g} m.",
        f"At least {LEAST_DEG} are needed: bring the seat to {farthest_m:.2f} m, or take a larger screen.",
        "site",
    )


def _logo(settings: Settings) -> Finding:
    try:
        read_logo(settings)
    except SettingsRefused as error:
        return Finding("logo", "refused", "", False, str(error), error.next_step, "site", stops=True)
    return Finding("logo", settings.screen.logo, "", True, "The shop's logo can be shown.", "", "site")


def _colour(settings: Settings) -> Finding:
    look, colour = settings.screen.theme, ThemeColour(*settings.screen.accent)
    ratio, shown = contrast_with_label(colour, look), legible(colour, look)
    has = f"The shop's colour {settings.screen.colour} has a contrast of {ratio:.1f}:1 with words on the {look} screens"
    good = ratio >= LEAST_FOR_TEXT
    sentence = f"{has}." if good else f"{has}, and {LEAST_FOR_TEXT}:1 is needed: it is shown as {_hex(shown)}."
    step = "" if good else "Keep it so, choose another screen.colour, or the other screen.theme."
    return Finding("shop_colour", round(ratio, 1), ":1", good, sentence, step, "site")


def _hex(colour: ThemeColour) -> str:
    return "#" + "".join(f"{channel:02X}" for channel in colour)
