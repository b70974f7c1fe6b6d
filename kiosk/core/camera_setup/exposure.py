"""A change of exposure, composed of the values that a camera offers.

Exposure in stops rises with log2 of the ISO and of the time, and falls with twice log2 of the f-number (ISO 2720).
The time stays as it is: movement and the mains frequency dictate it (hardware/cameras/README.md).
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

ISO_RANGE = (100.0, 400.0)
"""Higher values add noise, which is measured and counts; below 100 some bodies only emulate the value (practice)."""

APERTURE_RANGE = (5.6, 11.0)
"""Wider than f/5.6 nose and ears are not both sharp; beyond f/11 diffraction softens the picture (practice)."""

NEAR_STOPS = 1 / 6
"""Half of a camera's step: results that differ by less count as equally good."""


@dataclass(frozen=True, slots=True)
class Setting:
    """One of a camera's settings: its current value, and the values on offer; none for free or fixed settings."""

    now: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Change:
    """Values to set, by role, and the exposure still missing afterwards in stops; negative means overexposed."""

    values: tuple[tuple[str, str], ...]
    left_stops: float


def number(text: str) -> float | None:
    """Parse an ISO or an aperture as cameras write them, such as `400`, `f/8` or `8`; return None for `Auto`."""
    match = re.fullmatch(r"(?:[fF]/?)?\s*(\d+(?:[.,]\d+)?)", text.strip())
    return float(match[1].replace(",", ".")) if match else None


def seconds(text: str) -> float | None:
    """Return an exposure time as cameras and people write it, `1/125`, `1/125s`, `0.0080s`, `0,008`; None of `Bulb`."""
    told = re.fullmatch(r"(\d+(?:[.,]\d+)?)(?:/(\d+(?:[.,]\d+)?))?\s*(?:s|sec)?", text.strip().lower())
    if told is None:
        return None
    above, below = (float((part or "1").replace(",", ".")) for part in told.groups())
    return above / below if above and below else None


def nearest_time(wanted: str, offered: Sequence[str]) -> str | None:
    """Return the offered exposure time that is the nearest to the wanted one; None where none is as good."""
    wanted_s = seconds(wanted)
    if wanted_s is None:
        return None
    times = ((choice, seconds(choice)) for choice in offered)
    apart = [(abs(math.log2(time_s / wanted_s)), choice) for choice, time_s in times if time_s is not None]
    stops, nearest = min(apart, default=(math.inf, ""))
    return nearest if stops <= NEAR_STOPS else None


def change_for(stops: float, offered: Mapping[str, Setting]) -> Change:
    """Return the values of ISO and aperture that come closest to a change of exposure.

    Of the combinations within `NEAR_STOPS` of the closest, the one with the fewest changes wins, then the one that
    leaves the aperture as it is, then the closest.

    Parameters
    ----------
    stops
        Positive for more light on the sensor.
    offered
        The camera's settings by role; missing ones and those that are not numbers are ignored.
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
    """Return the values of a setting with the change in stops that each makes; no change is (None, 0)."""
    steps: list[tuple[str | None, float]] = [(None, 0.0)]
    now = number(setting.now) if setting else None
    if setting is None or not now:
        return steps
    for choice in setting.choices:
        value = number(choice)
        if value and value != now and within[0] <= value <= within[1]:
            steps.append((choice, weight * math.log2(value / now)))
    return steps
