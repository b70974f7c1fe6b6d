"""How long things last in whole sessions: what happens to devices, and a sitter's hesitation; all in seconds.

On a stepped clock they last as long as in a shop. On the machine's own, a sheet takes a second or two and whatever the
booth waits for is shortened with it (`SHORT` beside `USUAL`, and `tests/support/booth_process.py` for the booth's own
limits), so that a session with troubles takes seconds, in which the same things cross.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kiosk.core.view.sitter import State


@dataclass(frozen=True)
class Pace:
    """How long things last.

    Attributes
    ----------
    turns_s, turn_s, idle_turn_s
        A turn of the loop, by state, in the others, and while nobody is there.
    hesitates_s, again_s
        How long a sitter looks at a new screen, and how long before another touch.
    happens_s, happens_at_once_s
        How long after a state was entered something may happen, by state, and in the others.
    hangs_s
        After so long a visit hangs: longer than any sheet, its holding, and the photo's keeping together.
    late_s, pulled_s
        How much later a late picture is told of, and how long a cable is off.
    obstacle_s, jam_s, off_s, paused_s, refused_s
        How long each lasts at one printer.
    server_off_s
        How long the print server is down.
    both_s
        How long it lasts where both printers fail, mostly longer than a sheet is held.
    """

    turns_s: Mapping[State, float]
    turn_s: float
    idle_turn_s: float
    hesitates_s: tuple[float, ...]
    again_s: float
    happens_s: Mapping[State, float]
    happens_at_once_s: float
    hangs_s: float
    late_s: tuple[float, ...]
    pulled_s: tuple[float, ...]
    obstacle_s: tuple[float, ...]
    jam_s: tuple[float, ...]
    off_s: tuple[float, ...]
    paused_s: tuple[float, ...]
    refused_s: tuple[float, ...]
    server_off_s: tuple[float, ...]
    both_s: tuple[float, ...]


USUAL = Pace(
    turns_s={"align": 0.2, "shooting": 0.2, "measuring": 0.2, "printing": 1.0, "unprinted": 2.0},
    turn_s=0.5,
    idle_turn_s=2.0,
    hesitates_s=(0.0, 0.5, 2.0),
    again_s=4.0,
    happens_s={"printing": 60.0, "align": 4.0, "review": 4.0, "unprinted": 20.0},
    happens_at_once_s=1.5,
    hangs_s=3000.0,
    late_s=(0.5, 3.0, 11.0, 14.0, 30.0),
    pulled_s=(0.5, 3.0, 20.0),
    obstacle_s=(1.0, 10.0, 40.0, 300.0),
    jam_s=(1.0, 10.0, 40.0, 120.0),
    off_s=(0.5, 5.0, 40.0),
    paused_s=(0.5, 5.0, 15.0, 60.0),
    refused_s=(5.0, 60.0),
    server_off_s=(0.5, 10.0),
    both_s=(15.0, 100.0, 250.0),
)
SHORT = Pace(
    turns_s={},
    turn_s=1 / 30,
    idle_turn_s=1 / 30,
    hesitates_s=(0.0, 0.1, 0.4),
    again_s=1.0,
    happens_s={"printing": 5.0, "align": 2.0, "review": 1.5, "unprinted": 4.0},
    happens_at_once_s=0.6,
    hangs_s=240.0,
    late_s=(0.2, 1.0, 3.5, 5.0, 10.0),
    pulled_s=(0.2, 2.0, 8.0),
    obstacle_s=(0.3, 2.0, 5.0, 25.0),
    jam_s=(0.3, 2.0, 5.0, 12.0),
    off_s=(0.2, 1.0, 5.0),
    paused_s=(0.3, 1.0, 3.0, 6.0),
    refused_s=(1.0, 6.0),
    server_off_s=(0.1, 2.0),
    both_s=(3.0, 12.0, 25.0),
)
