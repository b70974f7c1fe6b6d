"""Check the shop's own look: its logo, its colour, and whether the screen can be read from the seat."""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.core.base.contrast import LEAST_FOR_TEXT
from kiosk.core.view.finding import Finding
from kiosk.errors import SettingsRefused
from kiosk.screens.toolkit.shop import contrast_with_label, legible
from kiosk.screens.toolkit.theme import ThemeColour
from kiosk.settings import Settings
from kiosk.settings.logo import read_logo


def look_findings(settings: Settings) -> Iterator[Finding]:
    """Yield the findings on the logo and the colour, where the settings have them."""
    if settings.screen.logo:
        yield _logo(settings)
    if settings.screen.colour:
        yield _colour(settings)


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
