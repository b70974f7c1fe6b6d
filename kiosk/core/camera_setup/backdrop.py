"""The empty backdrop as the camera sees it: how evenly it is lit, and what has changed since the reference was taken.

The picture is divided into a grid of cells, each with its mean colour in CIE 1976 L*a*b*. Changes of light are given in
stops, the log2 of the ratio of luminances Y, with Y from L* by ISO/CIE 11664-4. `compare` is run when the booth opens:
it reveals a failed or moved lamp, a changed exposure, stray daylight, and stains on the backdrop.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date

from kiosk.core.base.colour import LabColour, luminance_of_lightness
from kiosk.core.view.finding import Finding

ROWS, COLUMNS = 8, 8

LEVEL_STOPS = 1 / 3
"""Permitted drift of the overall level: one step of a camera's settings, the finest correction possible (practice)."""

PATTERN_STOPS = 0.25
"""Permitted drift of one cell relative to the overall level: half of what is allowed within one picture."""

COLOUR_AB = 3.0
"""Permitted drift of the colour in a*b*: just above the smallest visible difference, 2.3 (Mahy et al. 1994)."""

FALL_OFF_STOPS = 0.5
"""Permitted difference between the darkest and the brightest cell: a backdrop is lit to within half a stop (practice).
"""

SMOOTH_L = 9.0
"""Permitted difference of a cell's L* from the mean of its neighbours: light falls off smoothly, a person's outline
does not. Measured: 2 on a lens's fall-off of two stops, 5 on a lamp's spot a stop brighter than the rest, 14 with the
demo's sitter."""

BURNT_L = 99.0
"""The L* from which a cell is unusable, because some of its pixels are clipped."""

_DARKEST_Y = 1e-6
"""Black counts as this luminance, because its logarithm is taken."""


@dataclass(frozen=True, slots=True)
class Backdrop:
    """One picture of the empty backdrop.

    Attributes
    ----------
    taken_on
        The day on which it was taken.
    cells
        Mean L*, a*, b* of each cell: `ROWS` rows of `COLUMNS` cells, from the upper left.
    """

    taken_on: date
    cells: tuple[tuple[LabColour, ...], ...]

    def stops(self) -> list[list[float]]:
        """Return the fall-off map: each cell's luminance relative to the brightest, in stops, 0 or less."""
        levels = [[_level_stops(cell) for cell in row] for row in self.cells]
        brightest = max(map(max, levels))
        return [[level - brightest for level in row] for row in levels]

    def is_smooth(self) -> bool:
        """Return whether the backdrop is empty, that is, whether no cell stands out from its neighbours."""
        return all(
            abs(self.cells[row][column][0] - statistics.fmean(around)) <= SMOOTH_L
            for row, column, around in self._neighbours()
        )

    def _neighbours(self) -> Iterator[tuple[int, int, list[float]]]:
        """Yield the row and column of each inner cell, and the L* of its four neighbours."""
        for row in range(1, ROWS - 1):
            for column in range(1, COLUMNS - 1):
                beside = ((row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1))
                yield row, column, [self.cells[r][c][0] for r, c in beside]


def suitable(now: Backdrop) -> tuple[Finding, ...]:
    """Check that a picture can serve as the reference: empty, not clipped, evenly lit."""
    if not now.is_smooth():
        return (_not_empty(),)
    brightest = max(cell[0] for row in now.cells for cell in row)
    stops = now.stops()
    darkest = min(map(min, stops))
    where = _where(*_extreme(stops, min))
    return (
        Finding(
            "backdrop_brightest",
            round(brightest, 1),
            "L*",
            brightest < BURNT_L,
            f"The brightest part of the backdrop has L* {brightest:.0f}; below {BURNT_L:g} it can be measured.",
            "Turn the backdrop's lamps down, or close the aperture by a third of a stop.",
            "light",
        ),
        Finding(
            "backdrop_fall_off",
            round(-darkest, 2),
            "stops",
            -darkest <= FALL_OFF_STOPS,
            f"The backdrop is {-darkest:.2f} stops darker {where} than at its brightest;"
            f" the limit is {FALL_OFF_STOPS:g}.",
            f"Turn a backdrop lamp towards the part {where}, or move both lamps farther away.",
            "light",
        ),
    )


def compare(reference: Backdrop, now: Backdrop) -> tuple[Finding, ...]:
    """Compare the light with the reference: its level, its pattern and its colour.

    Parameters
    ----------
    reference
        The backdrop as it was when the booth was set up.
    now
        The empty backdrop as it is now, taken with the same camera settings.

    Returns
    -------
    tuple
        One finding for each of the three, or a single one if the picture does not show an empty backdrop.
    """
    if not now.is_smooth():
        return (_not_empty(),)
    drift = [
        [_level_stops(new) - _level_stops(old) for old, new in zip(*rows, strict=True)]
        for rows in zip(reference.cells, now.cells, strict=True)
    ]
    level = statistics.median(value for row in drift for value in row)
    pattern = [[value - level for value in row] for row in drift]
    return (_level(level, reference), _pattern(pattern, reference), _colour(reference, now))


def _level_stops(cell: LabColour) -> float:
    """Return the binary logarithm of a cell's luminance."""
    return math.log2(max(luminance_of_lightness(cell[0]), _DARKEST_Y))


def _level(stops: float, reference: Backdrop) -> Finding:
    return Finding(
        "backdrop_level",
        round(stops, 2),
        "stops",
        abs(stops) <= LEVEL_STOPS,
        f"The backdrop is {abs(stops):.2f} stops {_brighter(stops)} than on {reference.taken_on};"
        f" the limit is {LEVEL_STOPS:.2f}.",
        "Look for a lamp that is off, old or turned up, and compare ISO, aperture and shutter with those of that day.",
        "light",
    )


def _pattern(stops: list[list[float]], reference: Backdrop) -> Finding:
    row, column = _extreme(stops, lambda values: max(values, key=abs))
    worst = stops[row][column]
    return Finding(
        "backdrop_pattern",
        round(worst, 2),
        "stops",
        abs(worst) <= PATTERN_STOPS,
        f"Against the rest, the backdrop is {abs(worst):.2f} stops {_brighter(worst)} {_where(row, column)} than on"
        f" {reference.taken_on}; the limit is {PATTERN_STOPS:g}.",
        f"Look at the lamps and the backdrop {_where(row, column)}: moved, off, stained or creased.",
        "light",
    )


def _colour(reference: Backdrop, now: Backdrop) -> Finding:
    """Compare the colours; the reference's are scaled to the new lightness, because a* and b* shrink in the dark."""
    shifts = []
    for old_row, new_row in zip(reference.cells, now.cells, strict=True):
        for old, new in zip(old_row, new_row, strict=True):
            scale = (new[0] + 16) / (old[0] + 16)
            shifts.append((new[1] - scale * old[1], new[2] - scale * old[2]))
    green_red, blue_yellow = (statistics.median(values) for values in zip(*shifts, strict=True))
    distance = math.hypot(green_red, blue_yellow)
    towards = max(
        (blue_yellow, "yellow"), (-blue_yellow, "blue"), (green_red, "red"), (-green_red, "green"), key=lambda v: v[0]
    )[1]
    return Finding(
        "backdrop_colour",
        round(distance, 1),
        "a*b*",
        distance <= COLOUR_AB,
        f"The light's colour has moved by {distance:.1f} towards {towards} since {reference.taken_on};"
        f" the limit is {COLOUR_AB:g}.",
        "Shut daylight out, look for a lamp of another kind, and set the white balance to that of that day.",
        "light",
    )


def _not_empty() -> Finding:
    return Finding(
        "backdrop_empty",
        "no",
        "",
        False,
        "The picture does not show an empty backdrop.",
        "Take the seat and everybody out of the picture, and try again.",
        "light",
    )


def _brighter(stops: float) -> str:
    return "brighter" if stops > 0 else "darker"


def _extreme(values: list[list[float]], choose: Callable[[list[float]], float]) -> tuple[int, int]:
    chosen = choose([value for row in values for value in row])
    return next((r, c) for r, row in enumerate(values) for c, value in enumerate(row) if value == chosen)


def _where(row: int, column: int) -> str:
    """Return the position of a cell in words, as seen in the picture."""
    height = ("at the top", "in the middle", "at the bottom")[3 * row // ROWS]
    side = (" left", "", " right")[3 * column // COLUMNS]
    return height + side
