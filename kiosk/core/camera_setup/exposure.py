"""A change of exposure, made of the values that a camera offers.

Exposure in stops rises with log2 of the ISO and of the time, and falls with twice log2 of the f-number (ISO 2720).
The time is left alone: it is set by movement and by the mains (hardware/cameras/README.md).
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

ISO_RANGE = (100.0, 400.0)
"""Noise is measured, and counts; below 100 some bodies only pretend (practice)."""

APERTURE_RANGE = (5.6, 11.0)
"""From nose to ears sharp at the wide end, without the softness of diffraction at the narrow one (practice)."""

NEAR_STOPS = 1 / 6
"""Half of a camera's step: two values that differ by less are as good."""


@dataclass(frozen=True, slots=True)
class Setting:
    """One of a camera's settings: its present value, and those it offers; none where it is free or fixed."""

    now: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Change:
    """What to set, by role, and the stops that are then still missing; negative ones are too much."""

    values: tuple[tuple[str, str], ...]
    left_stops: float


def number(text: str) -> float | None:
    """Return the number of an ISO or an aperture as cameras write them, `400`, `f/8`, `8`; None of `Auto`."""
    told = re.fullmatch(r"(?:[fF]/?)?\s*(\d+(?:[.,]\d+)?)", text.strip())
    return float(told[1].replace(",", ".")) if told else None


def change_for(stops: float, offered: Mapping[str, Setting]) -> Change:
    """Return the values of ISO and aperture that come nearest to a change of exposure.

    Of those that come equally near, the one with the fewest changes wins, then the one that leaves the aperture alone,
    then the nearest.

    Parameters
    ----------
    stops
        Positive for more light on the sensor.
    offered
        The camera's settings by role; those that are not there or not numbers are left alone.
    """
    isos = _steps(offered.get("iso"), ISO_RANGE, 1.0)
    apertures = _steps(offered.get("aperture"), APERTURE_RANGE, -2.0)
    ways = [
        (abs(stops - more - wider), (iso is not None) + (aperture is not None), iso, aperture)
        for (iso, more), (aperture, wider) in itertools.product(isos, apertures)
    ]
    nearest = min(way[0] for way in ways)
    _, _, iso, aperture = min(
        (way for way in ways if way[0] <= nearest + NEAR_STOPS), key=lambda way: (way[1], way[3] is not None, way[0])
    )
    values = tuple((role, value) for role, value in (("iso", iso), ("aperture", aperture)) if value is not None)
    return Change(values, stops - dict(isos)[iso] - dict(apertures)[aperture])


def _steps(setting: Setting | None, within: tuple[float, float], weight: float) -> list[tuple[str | None, float]]:
    """Return a setting's values with the stops that each gives against the present one, which is None and 0."""
    steps: list[tuple[str | None, float]] = [(None, 0.0)]
    now = number(setting.now) if setting else None
    if setting is None or not now:
        return steps
    for choice in setting.choices:
        value = number(choice)
        if value and value != now and within[0] <= value <= within[1]:
            steps.append((choice, weight * math.log2(value / now)))
    return steps
