"""What is the shop's own on the screens: its colour for the main button, and its logo in the upper corner."""

from __future__ import annotations

import colorsys
from dataclasses import dataclass
from typing import Self

import numpy as np
import skia

from kiosk.core.base.contrast import LEAST_FOR_TEXT
from kiosk.core.base.geometry import Rect
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import cut_start
from kiosk.screens.toolkit.scene import Scene, skia_rect
from kiosk.screens.toolkit.theme import ThemeColour, contrast

STEPS = 200
"""In how many steps the lightness of a colour is moved to that of black or white, at most."""
WIDEST = 0.45
"""The widest logo, as a share of the strip that it stands in."""
LEAST_OF_LOGO = 3.0
"""The contrast that half of a logo must have with the ground (WCAG 2.2, 1.4.11); otherwise it gets a plate."""
PLATE = 12.0
"""How far a plate reaches beyond the logo, in design pixels."""


def contrast_with_label(colour: ThemeColour, look: theme.Look) -> float:
    """Return the contrast of a main button in this colour with its label, which has the colour of the ground."""
    return contrast(colour, theme.shown(theme.INK, theme.Palette(look)))


def legible(colour: ThemeColour, look: theme.Look) -> ThemeColour:
    """Return a colour in the nearest lightness at which the main button's label can be read (WCAG 2.2, 1.4.3).

    Hue and saturation stay.
    """
    hue, lightness, saturation = colorsys.rgb_to_hls(*(channel / 255 for channel in colour))
    towards = 0.0 if look == "light" else 1.0
    for step in range(STEPS + 1):
        moved = lightness + (towards - lightness) * step / STEPS
        channels = colorsys.hls_to_rgb(hue, moved, saturation)
        shown = colour if step == 0 else ThemeColour(*(round(channel * 255) for channel in channels))
        if contrast_with_label(shown, look) >= LEAST_FOR_TEXT:
            break
    return shown


@dataclass(frozen=True, slots=True)
class Logo:
    """The shop's logo, decoded."""

    image: skia.Image

    @classmethod
    def decoded(cls, png: bytes | None) -> Self | None:
        """Decode a PNG file; None where there is none.

        skia would decode it at the first drawing, out of bytes that it does not keep.
        """
        image = skia.Image.MakeFromEncoded(png) if png else None
        return None if image is None else cls(image.makeRasterImage())

    def paint(self, scene: Scene) -> Rect:
        """Draw the logo at the start of the strip at the upper edge, and return what is left of the strip."""
        strip = scene.area.marker
        width = min(strip.height * self.image.width() / self.image.height(), strip.width * WIDEST)
        height = width * self.image.height() / self.image.width()
        place = Rect(strip.x, strip.centre.y - height / 2, width, height)
        if self._is_lost_on(scene.colour(theme.INK)):
            place = place.inset(PLATE, PLATE, PLATE, PLATE)
            scene.fill(place.grown(PLATE), theme.TEXT, PLATE)
        sampling = skia.SamplingOptions(skia.CubicResampler.Mitchell())
        scene.canvas.drawImageRect(self.image, skia_rect(scene.at(place)), sampling)
        return cut_start(strip, width, theme.GAP)[1]

    def _is_lost_on(self, ground: ThemeColour) -> bool:
        """Return whether less than half of the logo stands out from the ground."""
        pixels = self.image.toarray(colorType=skia.kRGBA_8888_ColorType).reshape(-1, 4)
        drawn = pixels[pixels[:, 3] > 127, :3]
        sample = np.unique(drawn[:: max(len(drawn) // 4000, 1)] // 16, axis=0, return_counts=True)
        seen = [contrast(ThemeColour(*(int(channel) * 16 + 8 for channel in colour)), ground) for colour in sample[0]]
        return bool(np.sum(sample[1][np.array(seen) >= LEAST_OF_LOGO]) < 0.5 * np.sum(sample[1]))
