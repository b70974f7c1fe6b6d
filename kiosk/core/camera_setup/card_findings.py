"""What the grey card says about exposure, colour and light, as findings for whoever sets up the booth."""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.camera_setup.exposure import Change, Setting, change_for
from kiosk.core.camera_setup.grey_card import DEPENDABLE_STOPS, Card
from kiosk.core.camera_setup.white_balance import CameraOffer, white_finding, written
from kiosk.core.view.finding import Finding

EXPOSURE_STOPS = 1 / 3
"""Permitted error of exposure: one step of a camera's settings (practice)."""


EVEN_L = 3.0
"""Permitted standard deviation of L* over the card; shadows, print and edges exceed it (practice)."""


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
    return _exposure(card, offer.settings), white_finding(card, offer)


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
    steps = [written(change.values)] if change.values else []
    if abs(change.left_stops) > EXPOSURE_STOPS:
        lamps = "nearer or turn them up" if change.left_stops > 0 else "farther away or turn them down"
        steps.append(f"Bring the lamps {lamps}, by {abs(change.left_stops):.1f} stops.")
    if abs(missing) > DEPENDABLE_STOPS:
        steps.append("This far off it is a first step.")
    return " ".join(steps) or "Take the card again."
