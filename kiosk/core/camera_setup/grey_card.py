"""What a shot of a grey card at the sitter's place says of exposure and white balance, and what to set.

An 18 % grey belongs at 46.1 % of the sRGB scale, code 118: that is how ISO 12232:2019 defines the standard output
sensitivity. In L*a*b* that is 49.5, 0, 0.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

from kiosk.core.base.colour import LabColour, LinearRgb, lab_of, luminance
from kiosk.core.camera_setup.colour_temperature import shown, temperature_k, undone
from kiosk.core.camera_setup.exposure import Change, Setting, change_for
from kiosk.core.view.finding import Finding

GREY = 0.18

EXPOSURE_STOPS = 1 / 3
"""How far the card may be from its place: a camera's own step (practice)."""

NEUTRAL_AB = 3.0
"""How far from neutral in a*b*: just above the smallest difference that is seen, 2.3 (Mahy et al. 1994)."""

EVEN_L = 3.0
"""Standard deviation of L* over the card: shadows, print and edges give more (practice)."""

DEPENDABLE_STOPS = 2.0
"""Farther off, a camera's tone curve bends the measure: the change is a step on the way (practice)."""

DEPENDABLE_AB = 1.0
"""By how much less must be left: a tone curve bends the reckoning (by up to 0.7 in `tests/bench/grey_card`)."""

_MEASURE_ON_CARD = "Measure the white balance on this card, well exposed, in the camera's own menu."
_BETTER_LAMPS = "Use lamps of one kind with a CRI above 95."


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

    light: LinearRgb
    spread_l: float

    @property
    def stops(self) -> float:
        """The exposure that is missing; negative where there is too much. Y by IEC 61966-2-1."""
        return math.log2(GREY / max(luminance(self.light), 1e-4))

    @property
    def lab(self) -> LabColour:
        """Its L*, a*, b*."""
        return lab_of(self.light)

    @property
    def colour(self) -> float:
        """The distance from neutral in a*b*."""
        return math.hypot(self.lab[1], self.lab[2])


class CameraOffer(Protocol):
    """What a camera tells of itself.

    Attributes
    ----------
    settings
        By role; empty where it tells none.
    temperatures_k
        Of the white balances whose temperature is known.
    own_white
        Of the white balances, those that show a white as it was measured in the camera's own menu.
    """

    @property
    def settings(self) -> Mapping[str, Setting]: ...  # noqa: D102

    @property
    def temperatures_k(self) -> Mapping[str, float]: ...  # noqa: D102

    @property
    def own_white(self) -> tuple[str, ...]: ...  # noqa: D102


def card_findings(card: Card, offer: CameraOffer) -> tuple[Finding, ...]:
    """Return what to change, in words that name the camera's own values."""
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
    return _exposure(card, offer.settings), _white(card, offer)


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


@dataclass(frozen=True, slots=True)
class WhiteStep:
    """What to do about the white balance.

    Attributes
    ----------
    values
        What to set, by role.
    measure
        Whether the white is to be measured on the card in the camera's own menu, before.
    balance
        The nearest balance of the camera's list, where one can be reckoned.
    """

    values: tuple[tuple[str, str], ...]
    measure: bool
    balance: Balance | None


def white_step(card: Card, offer: CameraOffer) -> WhiteStep:
    """Return what to do about a card that is not neutral.

    A camera's list is coarse, and no temperature undoes green or magenta: where the nearest entry would leave more than
    `NEUTRAL_AB`, or hardly less than what is set, the camera measures for itself, which undoes both.
    """
    balance = balance_for(card, offer.settings, offer.temperatures_k)
    if balance is not None and balance.left_ab <= min(NEUTRAL_AB, card.colour - DEPENDABLE_AB):
        return WhiteStep(balance.values, False, balance)
    choices = offer.settings.get("white_balance", Setting("")).choices
    own = next((name for name in offer.own_white if name in choices), None)
    return WhiteStep((("white_balance", own),) if own else (), True, balance)


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


def _white(card: Card, offer: CameraOffer) -> Finding:
    setting = offer.settings.get("white_balance", Setting(""))
    automatic = "auto" in setting.now.lower()
    good = card.colour <= NEUTRAL_AB and not automatic
    sentence = (
        f"The card is {card.colour:.1f} from neutral (a* {card.lab[1]:+.1f}, b* {card.lab[2]:+.1f});"
        f" {NEUTRAL_AB:g} are let pass."
    )
    fixed = next((choice for choice in setting.choices if choice in offer.temperatures_k), "")
    step = " ".join((_MEASURE_ON_CARD, _BETTER_LAMPS))
    if automatic:
        sentence += f" The white balance is {setting.now!r}, which differs from sitter to sitter."
        step = _written((("white_balance", fixed),)) if fixed else step
    elif not good:
        todo = white_step(card, offer)
        if todo.balance:
            sentence += f" The light is like that of {round(todo.balance.light_k, -2):.0f} K."
        step = " ".join(_white_words(todo))
    return Finding("grey_card_white", round(card.colour, 1), "a*b*", good, sentence, step, "light")


def _white_words(todo: WhiteStep) -> Iterator[str]:
    balance = todo.balance
    if not todo.measure and balance:
        yield f"{_written(todo.values)} By reckoning {balance.left_ab:.1f} will be left."
        return
    if balance:
        nearest = " and ".join(f'{role} = "{value}"' for role, value in balance.values)
        yield f"No balance of the camera's list fits: the nearest, {nearest}, would leave {balance.left_ab:.1f}."
    yield _MEASURE_ON_CARD
    if todo.values:
        yield _written(todo.values)
    yield _BETTER_LAMPS


def _kelvin(text: str) -> float | None:
    """Return a temperature that is written as a number, `5200` or `5200K`."""
    digits = text.strip().upper().removesuffix("K").strip()
    return float(digits) if digits.isdigit() else None


def _is_free(name: str) -> bool:
    return "temperature" in name.lower()


def _written(values: Iterable[tuple[str, str]]) -> str:
    written = " and ".join(f'{role} = "{value}"' for role, value in values)
    return f"Under camera.adjust write {written}, then take the card again."
