"""Exposure and white balance from a shot of a grey card at the sitter's place, and the camera settings to change.

ISO 12232:2019 defines standard output sensitivity by an 18 % grey at 46.1 % of the sRGB scale, which is code 118 or
L*a*b* 49.5, 0, 0.
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
"""Permitted error of exposure: one step of a camera's settings (practice)."""

NEUTRAL_AB = 3.0
"""Permitted distance from neutral in a*b*: just above the smallest visible difference, 2.3 (Mahy et al. 1994)."""

EVEN_L = 3.0
"""Permitted standard deviation of L* over the card; shadows, print and edges exceed it (practice)."""

DEPENDABLE_STOPS = 2.0
"""The error of exposure above which a camera's tone curve distorts it, so that one correction is not enough (practice).
"""

DEPENDABLE_AB = 1.0
"""The minimum predicted improvement in a*b*: a tone curve distorts the prediction, by up to 0.7 in
`tests/bench/grey_card`."""

_MEASURE_ON_CARD = "Measure the white balance on this card, well exposed, in the camera's own menu."
_BETTER_LAMPS = "Use lamps of one kind with a CRI above 95."


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


class CameraOffer(Protocol):
    """The settings that a camera offers.

    Attributes
    ----------
    settings
        Settings by role; empty if the camera reports none.
    temperatures_k
        Colour temperatures of the white balances for which one is known.
    own_white
        The white balances that use a white measured in the camera's own menu.
    """

    @property
    def settings(self) -> Mapping[str, Setting]: ...  # noqa: D102

    @property
    def temperatures_k(self) -> Mapping[str, float]: ...  # noqa: D102

    @property
    def own_white(self) -> tuple[str, ...]: ...  # noqa: D102


def card_findings(card: Card, offer: CameraOffer) -> tuple[Finding, ...]:
    """Judge exposure and white balance; the next steps name the camera's own values."""
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
        f" the limit is {EXPOSURE_STOPS:.2f}.",
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
    """A white balance to set, by role; the light's temperature; and the card's predicted distance from neutral."""

    values: tuple[tuple[str, str], ...]
    light_k: float
    left_ab: float


@dataclass(frozen=True, slots=True)
class WhiteStep:
    """The next step for the white balance.

    Attributes
    ----------
    values
        Values to set, by role.
    measure
        Whether the white must first be measured on the card in the camera's own menu.
    balance
        The closest balance of the camera's list, if one can be computed.
    """

    values: tuple[tuple[str, str], ...]
    measure: bool
    balance: Balance | None


def white_step(card: Card, offer: CameraOffer) -> WhiteStep:
    """Return the next step for a card that is not neutral.

    A camera's list is coarse, and no temperature corrects green or magenta. If the closest entry would leave more than
    `NEUTRAL_AB`, or would hardly improve on the current one, the camera has to measure the white itself, which corrects
    both.
    """
    balance = balance_for(card, offer.settings, offer.temperatures_k)
    if balance is not None and balance.left_ab <= min(NEUTRAL_AB, card.colour - DEPENDABLE_AB):
        return WhiteStep(balance.values, False, balance)
    choices = offer.settings.get("white_balance", Setting("")).choices
    own = next((name for name in offer.own_white if name in choices), None)
    return WhiteStep((("white_balance", own),) if own else (), True, balance)


def balance_for(card: Card, offered: Mapping[str, Setting], temperatures_k: Mapping[str, float]) -> Balance | None:
    """Return the closest white balance that the camera offers, by its temperature or its name.

    Temperatures are compared as reciprocals, because equal steps in mired look equal (CIE 015).

    Returns
    -------
    Balance or None
        None if the temperature of the current setting is unknown, or the camera offers no known temperature.
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
        f" the limit is {NEUTRAL_AB:g}."
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
        yield f"{_written(todo.values)} That should leave {balance.left_ab:.1f}."
        return
    if balance:
        nearest = " and ".join(f'{role} = "{value}"' for role, value in balance.values)
        yield f"No balance of the camera's list fits: the nearest, {nearest}, would leave {balance.left_ab:.1f}."
    yield _MEASURE_ON_CARD
    if todo.values:
        yield _written(todo.values)
    yield _BETTER_LAMPS


def _kelvin(text: str) -> float | None:
    """Parse a temperature written as `5200` or `5200K`; return None for anything else."""
    digits = text.strip().upper().removesuffix("K").strip()
    return float(digits) if digits.isdigit() else None


def _is_free(name: str) -> bool:
    return "temperature" in name.lower()


def _written(values: Iterable[tuple[str, str]]) -> str:
    written = " and ".join(f'{role} = "{value}"' for role, value in values)
    return f"Under camera.adjust write {written}, then take the card again."
