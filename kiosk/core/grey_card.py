"""What a shot of a grey card at the sitter's place says of exposure and white balance, and what to set.

An 18 % grey belongs at 46.1 % of the sRGB scale, code 118: that is how ISO 12232:2019 defines the standard output
sensitivity. In L*a*b* that is 49.5, 0, 0.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from kiosk.core.exposure import Change, Setting, change_for
from kiosk.core.readiness import Finding
from kiosk.core.white import Light, lab_of, shown, temperature_k, undone

GREY = 0.18

EXPOSURE_STOPS = 1 / 3
"""How far the card may be from its place: a camera's own step (practice)."""

NEUTRAL_AB = 3.0
"""How far from neutral in a*b*: just above the smallest difference that is seen, 2.3 (Mahy et al. 1994)."""

EVEN_L = 3.0
"""Standard deviation of L* over the card: shadows, print and edges give more (practice)."""

DEPENDABLE_STOPS = 2.0
"""Farther off, a camera's tone curve bends the measure: the change is a step on the way (practice)."""

_MEASURE_ON_CARD = (
    "Measure the white balance on this card in the camera's own menu, and use lamps of one kind with a CRI above 95."
)


@dataclass(frozen=True, slots=True)
class Card:
    """A grey card as the camera shows it.

    Attributes
    ----------
    light
        Mean of each channel in linear light, 0 to 1.
    spread_l
        Standard deviation of L* over the card, each place averaged over some pixels.
    """

    light: Light
    spread_l: float

    @property
    def stops(self) -> float:
        """The exposure that is missing; negative where there is too much. Y by IEC 61966-2-1."""
        red, green, blue = self.light
        return math.log2(GREY / max(0.2126 * red + 0.7152 * green + 0.0722 * blue, 1e-4))

    @property
    def lab(self) -> tuple[float, float, float]:
        """Its L*, a*, b*."""
        return lab_of(self.light)

    @property
    def colour(self) -> float:
        """The distance from neutral in a*b*."""
        return math.hypot(self.lab[1], self.lab[2])


def card_findings(
    card: Card, offered: Mapping[str, Setting], temperatures_k: Mapping[str, float]
) -> tuple[Finding, ...]:
    """Return what to change, in words that name the camera's own values.

    Parameters
    ----------
    card
        As measured.
    offered
        The camera's settings by role; empty where it tells none.
    temperatures_k
        Of the white balances whose temperature is known.
    """
    if card.spread_l > EVEN_L:
        return (
            Finding(
                "grey_card_even",
                round(card.spread_l, 1),
                "L*",
                False,
                f"The middle of the picture is not one even card: its lightness varies by {card.spread_l:.1f}.",
                "Hold a plain grey card where the face will be, so that it fills the middle, without shadow or shine.",
                "light",
            ),
        )
    return _exposure(card, offered), _white(card, offered, temperatures_k)


def _exposure(card: Card, offered: Mapping[str, Setting]) -> Finding:
    missing = card.stops
    way = "too dark" if missing > 0 else "too bright"
    return Finding(
        "grey_card_exposure",
        round(-missing, 2),
        "stops",
        abs(missing) <= EXPOSURE_STOPS,
        f"The card has L* {card.lab[0]:.1f} where 18 % grey has 49.5: {abs(missing):.2f} stops {way};"
        f" {EXPOSURE_STOPS:.2f} are let pass.",
        _exposure_step(missing, change_for(missing, offered)),
        "light",
    )


def _exposure_step(missing: float, change: Change) -> str:
    steps = [_written(change.values)] if change.values else []
    if abs(change.left_stops) > EXPOSURE_STOPS:
        lamps = "nearer or turn them up" if change.left_stops > 0 else "farther away or turn them down"
        steps.append(f"Bring the lamps {lamps}, by {abs(change.left_stops):.1f} stops.")
    if abs(missing) > DEPENDABLE_STOPS:
        steps.append("This far off it is a first step.")
    return " ".join(steps) or "Take the card again."


@dataclass(frozen=True, slots=True)
class Balance:
    """A white balance to set, by role; the light's temperature; and how far from neutral the card would then be."""

    values: tuple[tuple[str, str], ...]
    light_k: float
    left_ab: float


def balance_for(card: Card, offered: Mapping[str, Setting], temperatures_k: Mapping[str, float]) -> Balance | None:
    """Return the nearest white balance that the camera offers: a temperature by number, or else one of its names.

    Temperatures are compared as reciprocals, in which equal steps look equal (mired, CIE 015).

    Returns
    -------
    Balance or None
        None where the present setting has no known temperature, or the camera offers none.
    """
    white = offered.get("white_balance", Setting(""))
    kelvin = offered.get("temperature", Setting(""))
    set_to_k = temperatures_k.get(white.now) or (_kelvin(kelvin.now) if _is_free(white.now) else None)
    free = next(filter(_is_free, white.choices), "")
    values: dict[tuple[tuple[str, str], ...], float] = {
        (("white_balance", name),): temperatures_k[name] for name in white.choices if name in temperatures_k
    }
    if free:
        numbers = {(("white_balance", free), ("temperature", text)): _kelvin(text) for text in kelvin.choices}
        values |= {written: known for written, known in numbers.items() if known}
    if set_to_k is None or not values:
        return None
    light_k = temperature_k(card.light, set_to_k)
    chosen = min(values, key=lambda written: abs(1 / values[written] - 1 / light_k))
    red, green, blue = shown(undone(card.light, set_to_k), values[chosen])
    _, green_red, blue_yellow = lab_of((red / green * GREY, GREY, blue / green * GREY))
    return Balance(chosen, light_k, math.hypot(green_red, blue_yellow))


def _white(card: Card, offered: Mapping[str, Setting], temperatures_k: Mapping[str, float]) -> Finding:
    setting = offered.get("white_balance", Setting(""))
    automatic = "auto" in setting.now.lower()
    good = card.colour <= NEUTRAL_AB and not automatic
    balance = balance_for(card, offered, temperatures_k)
    sentence = (
        f"The card is {card.colour:.1f} from neutral (a* {card.lab[1]:+.1f}, b* {card.lab[2]:+.1f});"
        f" {NEUTRAL_AB:g} are let pass."
    )
    step = _MEASURE_ON_CARD
    if automatic:
        fixed = next((choice for choice in setting.choices if choice in temperatures_k), "")
        sentence += f" The white balance is {setting.now!r}, which differs from sitter to sitter."
        step = _written((("white_balance", fixed),)) if fixed else _MEASURE_ON_CARD
    elif balance is not None and not good:
        sentence += f" The light is like that of {round(balance.light_k, -2):.0f} K."
        if balance.left_ab < card.colour - 1:
            step = f"{_written(balance.values)} By reckoning {balance.left_ab:.1f} will be left."
        if balance.left_ab > NEUTRAL_AB:
            step = " ".join(dict.fromkeys((step, _MEASURE_ON_CARD)))
    return Finding("grey_card_white", round(card.colour, 1), "a*b*", good, sentence, step, "light")


def _kelvin(text: str) -> float | None:
    """Return a temperature that is written as a number, `5200` or `5200K`."""
    digits = text.strip().upper().removesuffix("K").strip()
    return float(digits) if digits.isdigit() else None


def _is_free(name: str) -> bool:
    return "temperature" in name.lower()


def _written(values: Iterable[tuple[str, str]]) -> str:
    written = " and ".join(f'{role} = "{value}"' for role, value in values)
    return f"Under camera.adjust write {written}, then take the card again."
