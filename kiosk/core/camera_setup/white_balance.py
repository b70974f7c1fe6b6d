"""The white balance that the grey card asks for, from what the camera offers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

from kiosk.core.base.colour import lab_of
from kiosk.core.camera_setup.colour_temperature import shown, temperature_k, undone
from kiosk.core.camera_setup.exposure import Setting
from kiosk.core.camera_setup.grey_card import DEPENDABLE_AB, GREY, NEUTRAL_AB, Card
from kiosk.core.view.finding import Finding

_MEASURE_ON_CARD = "Measure the white balance on this card, well exposed, in the camera's own menu."
_BETTER_LAMPS = "Use lamps of one kind with a CRI above 95."


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


def white_finding(card: Card, offer: CameraOffer) -> Finding:
    """Judge the card's colour, with the camera's own values as the next step."""
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
        step = written((("white_balance", fixed),)) if fixed else step
    elif not good:
        todo = white_step(card, offer)
        if todo.balance:
            sentence += f" The light is like that of {round(todo.balance.light_k, -2):.0f} K."
        step = " ".join(_white_words(todo))
    return Finding("grey_card_white", round(card.colour, 1), "a*b*", good, sentence, step, "light")


def _white_words(todo: WhiteStep) -> Iterator[str]:
    balance = todo.balance
    if not todo.measure and balance:
        yield f"{written(todo.values)} That should leave {balance.left_ab:.1f}."
        return
    if balance:
        nearest = " and ".join(f'{role} = "{value}"' for role, value in balance.values)
        yield f"No balance of the camera's list fits: the nearest, {nearest}, would leave {balance.left_ab:.1f}."
    yield _MEASURE_ON_CARD
    if todo.values:
        yield written(todo.values)
    yield _BETTER_LAMPS


def _kelvin(text: str) -> float | None:
    """Parse a temperature written as `5200` or `5200K`; return None for anything else."""
    digits = text.strip().upper().removesuffix("K").strip()
    return float(digits) if digits.isdigit() else None


def _is_free(name: str) -> bool:
    return "temperature" in name.lower()


def written(values: Iterable[tuple[str, str]]) -> str:
    """Return the step that writes values by their roles into the settings."""
    lines = " and ".join(f'{role} = "{value}"' for role, value in values)
    return f"Under camera.adjust write {lines}, then take the card again."
