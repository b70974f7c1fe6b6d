"""A grey card at the sitter's place, as the camera renders it.

ISO 12232:2019 defines standard output sensitivity by an 18 % grey at 46.1 % of the sRGB scale, which is code 118 or
L*a*b* 49.5, 0, 0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kiosk.core.base.colour import LabColour, LinearRgb, lab_of, luminance

GREY = 0.18

NEUTRAL_AB = 3.0
"""Permitted distance from neutral in a*b*: just above the smallest visible difference, 2.3 (Mahy et al. 1994)."""

DEPENDABLE_STOPS = 2.0
"""The error of exposure above which a camera's tone curve distorts it, so that one correction is not enough (practice).
"""

DEPENDABLE_AB = 1.0
"""The minimum predicted improvement in a*b*: a tone curve distorts the prediction, by up to 0.7 in
`tests/bench/grey_card`."""


@dataclass(frozen=True, slots=True)
class Card:
    """A grey card as the camera renders it.

    Attributes
    ----------
    light
        Mean of each channel in linear light, 0 to 1.
    spread_l
        Standard deviation of L* over the card, after averaging over small areas.
    """

    light: LinearRgb
    spread_l: float

    @property
    def stops(self) -> float:
        """The missing exposure in stops; negative if the card is overexposed."""
        return math.log2(GREY / max(luminance(self.light), 1e-4))

    @property
    def lab(self) -> LabColour:
        """The card's L*, a*, b*."""
        return lab_of(self.light)

    @property
    def colour(self) -> float:
        """The distance from neutral in a*b*."""
        return math.hypot(self.lab[1], self.lab[2])
