"""What was read from a colour page: each patch as L*a*b* against its paper, with how surely that is known.

A picture, a spectrophotometer and a densitometer all end as the same readings. The paper counts as white, because the
eye takes it for white; a profile with a colorimetric intent relative to the medium does the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kiosk.core.base.colour import LabColour, LinearRgb
from kiosk.core.print_colour.chart import ROW_NAMES, STEPS
from kiosk.core.print_colour.colours import Xyz, chroma, lab_of_xyz, xyz_of_lab, xyz_of_light
from kiosk.errors import UnreadableColours

PAPER = "paper"
"""The name of a typed reading of the bare paper."""
LAB_UNCERTAINTY = 0.5
"""Standard uncertainty of a typed L*a*b*: what two spectrophotometers differ by on the same patch (practice)."""
DENSITY_UNCERTAINTY = 0.01
"""Standard uncertainty of a density against the same page's paper: a reflection densitometer repeats itself to 0.01
(practice, from memory); its own offset is in both readings."""
_DARKEST_PAPER_L = 70.0
"""No photo paper is darker; press papers have 88 to 95 (ISO 12647-2:2013, from memory)."""
DENSEST = 4.0
"""No print is denser: the surface alone reflects a thousandth or more."""

_LAB_COLUMNS, _DENSITY_COLUMNS = ("l", "a", "b"), ("r", "g", "b")
_NAMES = {PAPER, *(f"{row}{column + 1}" for row in ROW_NAMES for column in range(STEPS))}


@dataclass(frozen=True, slots=True)
class Reading:
    """A patch against its paper.

    Attributes
    ----------
    lab
        L*a*b* under D50, with L* 100 for the paper.
    cast_uncertainty, tone_uncertainty
        Standard uncertainty of its distance from grey, and of its L*.
    """

    lab: LabColour
    cast_uncertainty: float
    tone_uncertainty: float


def typed_readings(text: str) -> dict[str, Reading]:
    """Return the readings of an instrument, typed into a table with commas.

    Parameters
    ----------
    text
        A line that names the columns, `patch,l,a,b` for L*a*b* under D50 or `patch,r,g,b` for Status A densities
        (ISO 5-3), then a line for each patch; one of them is `paper`.

    Raises
    ------
    UnreadableColours
        Not such a table.
    """
    rows = [[cell.strip().lower() for cell in line.split(",")] for line in text.splitlines() if line.strip()]
    columns = tuple(rows[0][1:]) if rows else ()
    if columns not in (_LAB_COLUMNS, _DENSITY_COLUMNS):
        raise UnreadableColours(detail="the first line of the readings is neither patch,l,a,b nor patch,r,g,b")
    found: dict[str, tuple[float, float, float]] = {}
    for row in rows[1:]:
        name = row[0].upper() if row[0] != PAPER else PAPER
        numbers = [_number(cell) for cell in row[1:]]
        if name not in _NAMES or name in found or len(numbers) != 3:
            raise UnreadableColours(detail=f"the line {','.join(row)!r} is no new patch with three numbers")
        found[name] = (numbers[0], numbers[1], numbers[2])
    if PAPER not in found:
        raise UnreadableColours(detail=f"the readings have no line {PAPER!r}, and every patch is read against it")
    paper = found.pop(PAPER)
    of_one = _of_lab if columns == _LAB_COLUMNS else _of_densities
    return {name: of_one(name, numbers, paper) for name, numbers in found.items()}


def reading_of_light(light: LinearRgb, cast_uncertainty: float, tone_uncertainty: float) -> Reading:
    """Return the reading of linear sRGB against the paper's."""
    return Reading(lab_of_xyz(xyz_of_light(light)), cast_uncertainty, tone_uncertainty)


def joined(one: Reading, other: Reading) -> Reading:
    """Return the mean of two patches that should be equal; half of what they differ by is uncertain."""
    halves = [(a - b) / 2 for a, b in zip(one.lab, other.lab, strict=True)]
    lightness, a, b = ((first + second) / 2 for first, second in zip(one.lab, other.lab, strict=True))
    return Reading(
        (lightness, a, b),
        math.hypot(halves[1], halves[2], max(one.cast_uncertainty, other.cast_uncertainty)),
        math.hypot(halves[0], max(one.tone_uncertainty, other.tone_uncertainty)),
    )


def _number(cell: str) -> float:
    try:
        number = float(cell)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise UnreadableColours(detail=f"{cell!r} is no number")
    return number


def _of_lab(name: str, lab: LabColour, paper: LabColour) -> Reading:
    for lightness in (lab[0], paper[0]):
        if not 0 <= lightness <= 100:
            raise UnreadableColours(detail=f"the L* of {name} or of the paper is not between 0 and 100")
    if paper[0] < _DARKEST_PAPER_L:
        raise UnreadableColours(detail=f"the paper is no paper: its L* is {paper[0]:g}")
    shares = [a / b for a, b in zip(xyz_of_lab(lab), xyz_of_lab(paper), strict=True)]
    xyz: Xyz = (shares[0], shares[1], shares[2])
    return Reading(lab_of_xyz(xyz), LAB_UNCERTAINTY, LAB_UNCERTAINTY)


def _of_densities(name: str, densities: tuple[float, float, float], paper: tuple[float, float, float]) -> Reading:
    """Return the reading of densities: red, green and blue of Status A taken for those of sRGB.

    The uncertainty is propagated (JCGM 100:2008, 5.1.2), from each channel by itself.
    """
    if not all(0 <= one <= DENSEST for one in (*densities, *paper)):
        raise UnreadableColours(detail=f"a density of {name} or of the paper is not between 0 and {DENSEST:g}")
    over = [one - white for one, white in zip(densities, paper, strict=True)]
    lab = _lab_of_densities(over)
    casts, tones = [], []
    for channel in range(3):
        moved = _lab_of_densities([one + DENSITY_UNCERTAINTY * (i == channel) for i, one in enumerate(over)])
        casts.append(chroma((0.0, moved[1] - lab[1], moved[2] - lab[2])))
        tones.append(moved[0] - lab[0])
    return Reading(lab, math.hypot(*casts), math.hypot(*tones))


def _lab_of_densities(over: list[float]) -> LabColour:
    red, green, blue = (10.0**-density for density in over)
    return lab_of_xyz(xyz_of_light((red, green, blue)))
