"""A visit as a script: how the sitter sits at first, how they follow instructions, and which shots they spoil.

Directions follow the contract of `core.base.measurement`: yaw > 0 turns the nose to the right of the picture, which is
the sitter's left; pitch > 0 lifts the nose; roll > 0 leans the crown to the right of the picture. The numbers of a
temperament are invented to span obedient and difficult people; none is measured.
"""

from __future__ import annotations

import random
from typing import Literal

from pydantic import Field

from kiosk.core.document.limits import Model

Mouth = Literal["closed", "open", "smile"]
Spoil = Literal["eyes_closed", "smile", "mouth_open", "turned", "moved", "tilted"]


class Pose(Model):
    """Where the sitter is and what the face does.

    Attributes
    ----------
    x, y
        Place of the head as fractions of the picture's width and height, from where it belongs; right and down.
    scale
        Size of the head relative to where it belongs; above 1 is nearer.
    yaw_deg, pitch_deg, roll_deg
        Turn of the head.
    eyes_open, mouth
        The face.
    """

    x: float = Field(default=0.0, ge=-0.35, le=0.35)
    y: float = Field(default=0.0, ge=-0.25, le=0.25)
    scale: float = Field(default=1.0, ge=0.5, le=1.8)
    yaw_deg: float = Field(default=0.0, ge=-30, le=30)
    pitch_deg: float = Field(default=0.0, ge=-20, le=20)
    roll_deg: float = Field(default=0.0, ge=-25, le=25)
    eyes_open: bool = True
    mouth: Mouth = "closed"


class Temperament(Model):
    """How a sitter follows.

    Attributes
    ----------
    delay_s
        From hearing to moving, give or take a quarter.
    move_s
        Duration of one movement.
    gain
        How much of what is wrong one movement puts right.
    error
        Relative standard deviation of a movement's size.
    sway
        Size of the unrest, 1 for a few millimetres and half a degree.
    confuses_sides
        Probability that left is taken for right, each time.
    blink_every_s
        Mean time between blinks; 0 for never.
    blink_s
        Duration of a blink.
    """

    delay_s: float = Field(default=0.8, ge=0)
    move_s: float = Field(default=0.7, gt=0)
    gain: float = Field(default=0.7, gt=0, le=2)
    error: float = Field(default=0.15, ge=0)
    sway: float = Field(default=1.0, ge=0)
    confuses_sides: float = Field(default=0.0, ge=0, le=1)
    blink_every_s: float = Field(default=6.0, ge=0)
    blink_s: float = Field(default=0.2, gt=0)


class Scenario(Model):
    """One visit.

    Attributes
    ----------
    seed
        Of everything that is left to chance.
    arrives_s
        When the sitter sits down unasked, in seconds after the camera's start; before that the booth is empty.
    begins
        The pose on arrival; None for a bad one drawn from the seed.
    temperament
        How this sitter follows.
    spoil_shots
        What goes wrong at the first, second, ... shot.
    """

    seed: int = 0
    arrives_s: float = Field(default=1.5, ge=0)
    begins: Pose | None = None
    temperament: Temperament = Temperament()
    spoil_shots: tuple[Spoil, ...] = ()


def bad_start(chance: random.Random) -> Pose:
    """Return a pose that fails in several ways: to one side, too near or far, turned, and perhaps with eyes shut."""
    side, turn, tilt = (chance.choice((-1, 1)) for _ in range(3))
    return Pose(
        x=side * chance.uniform(0.06, 0.16),
        y=chance.uniform(-0.07, 0.09),
        scale=chance.choice((chance.uniform(0.7, 0.82), chance.uniform(1.25, 1.45))),
        yaw_deg=turn * chance.uniform(9, 22),
        pitch_deg=chance.choice((-1, 1)) * chance.uniform(5, 13),
        roll_deg=tilt * chance.uniform(3, 11),
        eyes_open=chance.random() < 0.5,
        mouth=chance.choice(("closed", "closed", "open", "smile")),
    )
