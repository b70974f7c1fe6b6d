"""Sitters of whom one thing alone is wrong: what the live view sees of them, or what only the still shows.

What only the still shows is mended by hand once its remedy was heard. How long hands take is invented, as the
temperaments are.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping

from kiosk.core.session.instructions import Instruction
from kiosk.core.session.remedies import REMEDIES
from kiosk.devices.sim.scenario import Pose

Draw = Callable[[random.Random], Pose]

SEEN_LIVE: Mapping[str, Draw] = {
    "to one side": lambda chance: Pose(x=_side(chance) * chance.uniform(0.06, 0.16)),
    "too high or low": lambda chance: Pose(y=_side(chance) * chance.uniform(0.05, 0.09)),
    "too far": lambda chance: Pose(scale=chance.uniform(0.7, 0.82)),
    "too near": lambda chance: Pose(scale=chance.uniform(1.25, 1.45)),
    "turned": lambda chance: Pose(yaw_deg=_side(chance) * chance.uniform(9, 22)),
    "nodding": lambda chance: Pose(pitch_deg=_side(chance) * chance.uniform(5, 13)),
    "leaning": lambda chance: Pose(roll_deg=_side(chance) * chance.uniform(3, 11)),
    "eyes shut": lambda _: Pose(eyes_open=False),
    "mouth open": lambda _: Pose(mouth="open"),
    "smiling": lambda _: Pose(mouth="smile"),
}
"""How they arrive: the ranges of `bad_start`."""
HANDS_S: Mapping[Instruction, float] = {
    Instruction.LOOK_AT_LENS: 0.5,
    Instruction.LOOK_AT_LIGHT: 0.5,
    Instruction.KEEP_STILL: 0.5,
    Instruction.ONCE_MORE: 0.0,
    Instruction.MOVE_CLOSER: 1.0,
    Instruction.MOVE_BACK: 1.0,
    Instruction.CENTRE_HEAD: 1.0,
    Instruction.TIP_GLASSES: 1.5,
    Instruction.GLASSES_OFF: 2.5,
    Instruction.CLEAR_EYES: 2.5,
    Instruction.HEAD_FREE: 3.0,
    Instruction.ONE_PERSON: 3.0,
    Instruction.CLEAR_BACKGROUND: 4.0,
    Instruction.EVEN_LIGHT: 4.0,
    Instruction.PLAIN_LIGHT: 4.0,
}
"""For what a remedy asks, after it was understood; invented."""


SEEN_IN_THE_STILL: Mapping[str, str] = {
    asked.value.replace("_", " "): next(name for name, remedy in REMEDIES.items() if remedy is asked)
    for asked in HANDS_S
}
"""By what the remedy asks: a requirement with this remedy, of which each is followed alike."""


def _side(chance: random.Random) -> int:
    return chance.choice((-1, 1))
