"""How far a printed page is off: the cast of its greys, their tones, and the difference of colours and skins.

A print is aimed at what sRGB asks for, with its darkest grey in the place of black: XYZ is scaled between the paper and
that grey, as black-point compensation does (Adobe, "Black Point Compensation", 2006; ISO 18619:2015). So an aim can be
reached by every printer, and is the same with and without a profile.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from kiosk.core.base.colour import LabColour, luminance_of_lightness
from kiosk.core.print_colour.chart import COLOURED, SHUFFLED, SKIN, STEPS, WEDGE, ColourChart, Patch
from kiosk.core.print_colour.colours import chroma, difference, lab_of_xyz, light_of_code, xyz_of_light
from kiosk.core.print_colour.reading import Reading, joined
from kiosk.errors import UnreadableColours

CRUSHED_L = 3.0
"""A darker grey may read lighter by so much, where a printer makes the same black of both: twice the standard
uncertainty of a picture. A larger one is out of its order."""


@dataclass(frozen=True, slots=True)
class Deviation:
    """How far something is off, at its worst, and the standard uncertainty of that."""

    value: float
    uncertainty: float

    @property
    def error(self) -> float:
        """How far it may be off: the deviation and one standard uncertainty."""
        return self.value + self.uncertainty


@dataclass(frozen=True, slots=True)
class PageErrors:
    """What a page shows.

    Attributes
    ----------
    cast
        The largest distance of a grey from neutral, in a*b*.
    tone
        The largest difference of a grey's L* from its aim.
    steps
        The wedge's greys as L*a*b* against the paper, light to dark.
    colours, skins
        The mean difference of the colours and of the skin tones from their aims (CIEDE2000); None where they were not
        read.
    """

    cast: Deviation
    tone: Deviation
    steps: tuple[LabColour, ...]
    colours: float | None = None
    skins: float | None = None

    @property
    def black_l(self) -> float:
        """L* of the darkest grey."""
        return self.steps[-1][0]


def judged(chart: ColourChart, readings: Mapping[str, Reading]) -> PageErrors:
    """Return how far a page is off.

    Parameters
    ----------
    chart
        The page as it was printed.
    readings
        The readings by the names of the patches: at least all greys of the shuffled row.

    Raises
    ------
    UnreadableColours
        A grey is missing, or the greys come in the order of another page.
    """
    shuffled = _greys(chart, readings, SHUFFLED)
    if any(darker.lab[0] > lighter.lab[0] + CRUSHED_L for lighter, darker in pairwise(shuffled)):
        raise UnreadableColours(detail=f"its greys are not in the order of page {chart.number} of this printer")
    wedge = [patch for patch in chart.patches if patch.row == WEDGE]
    greys = shuffled
    if all(patch.name in readings for patch in wedge):
        greys = [joined(*both) for both in zip(_greys(chart, readings, WEDGE), shuffled, strict=True)]
    black = min(luminance_of_lightness(max(greys[-1].lab[0], 0.0)), 1.0)
    off = [grey.lab[0] - aim(patch, black)[0] for grey, patch in zip(greys, wedge, strict=True)]
    cast = max((Deviation(chroma(grey.lab), grey.cast_uncertainty) for grey in greys), key=lambda one: one.error)
    tones = (Deviation(abs(by), grey.tone_uncertainty) for by, grey in zip(off, greys, strict=True))
    return PageErrors(
        cast,
        max(tones, key=lambda one: one.error),
        tuple(grey.lab for grey in greys),
        _mean_difference(chart, readings, COLOURED, black),
        _mean_difference(chart, readings, SKIN, black),
    )


def aim(patch: Patch, black: float) -> LabColour:
    """Return what a patch should look like against the paper, where the darkest grey has this luminance."""
    x, y, z = (black + (1 - black) * share for share in xyz_of_light(light_of_code(patch.code)))
    return lab_of_xyz((x, y, z))


def _greys(chart: ColourChart, readings: Mapping[str, Reading], row: str) -> list[Reading]:
    """Return the greys of a row, light to dark."""
    found = {}
    for patch in chart.patches:
        if patch.row == row:
            if patch.name not in readings:
                raise UnreadableColours(detail=f"the grey {patch.name} was not read")
            found[chart.step_of(patch)] = readings[patch.name]
    return [found[step] for step in range(STEPS)]


def _mean_difference(chart: ColourChart, readings: Mapping[str, Reading], row: str, black: float) -> float | None:
    """Return the mean difference of a row, or None where not all of it was read."""
    patches = [patch for patch in chart.patches if patch.row == row]
    if not all(patch.name in readings for patch in patches):
        return None
    found = [difference(readings[patch.name].lab, aim(patch, black)) for patch in patches]
    return math.fsum(found) / len(found)
