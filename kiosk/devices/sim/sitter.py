"""A person in front of the camera who hears an instruction and follows it as people do: late, inexactly, swaying.

Pure and seeded: time is an argument, and what the sitter does depends on what was heard and when, not on how often
one looks.
"""

from __future__ import annotations

import math
import random
from typing import Literal

from kiosk.core.session.instructions import Instruction
from kiosk.devices.sim.scenario import Mouth, Pose, Scenario, Spoil, bad_start

SitterAxis = Literal["x", "y", "scale", "yaw_deg", "pitch_deg", "roll_deg"]

SPOIL_S = 0.7
"""How long a spoilt shot shows its fault, in seconds from the order: longer than a simulated exposure takes."""

_HELD_SWAY = 0.4
"""The fraction of the usual sway that is left while the sitter holds still; invented."""

_MOVES: dict[Instruction, tuple[SitterAxis, int, float]] = {
    Instruction.MOVE_LEFT: ("x", +1, 0.02),
    Instruction.MOVE_RIGHT: ("x", -1, 0.02),
    Instruction.SIT_HIGHER: ("y", -1, 0.015),
    Instruction.SIT_LOWER: ("y", +1, 0.015),
    Instruction.MOVE_CLOSER: ("scale", +1, 0.04),
    Instruction.MOVE_BACK: ("scale", -1, 0.04),
    Instruction.TURN_LEFT: ("yaw_deg", +1, 2.0),
    Instruction.TURN_RIGHT: ("yaw_deg", -1, 2.0),
    Instruction.CHIN_UP: ("pitch_deg", +1, 2.0),
    Instruction.CHIN_DOWN: ("pitch_deg", -1, 2.0),
    Instruction.TILT_LEFT: ("roll_deg", +1, 1.5),
    Instruction.TILT_RIGHT: ("roll_deg", -1, 1.5),
}
"""What an instruction moves: the axis, the direction, and the least movement that a person makes when asked."""

_SIDED = {
    Instruction.MOVE_LEFT,
    Instruction.MOVE_RIGHT,
    Instruction.TURN_LEFT,
    Instruction.TURN_RIGHT,
    Instruction.TILT_LEFT,
    Instruction.TILT_RIGHT,
}
_IDEAL: dict[SitterAxis, float] = {"x": 0, "y": 0, "scale": 1, "yaw_deg": 0, "pitch_deg": 0, "roll_deg": 0}
_REACH: dict[SitterAxis, tuple[float, float]] = {
    "x": (-0.3, 0.3),
    "y": (-0.2, 0.2),
    "scale": (0.6, 1.7),
    "yaw_deg": (-28.0, 28.0),
    "pitch_deg": (-18.0, 18.0),
    "roll_deg": (-20.0, 20.0),
}
_SWAY: dict[SitterAxis, float] = {
    "x": 0.003,
    "y": 0.0015,
    "scale": 0.004,
    "yaw_deg": 0.5,
    "pitch_deg": 0.4,
    "roll_deg": 0.3,
}
_SPOILT_MOUTH: dict[Spoil, Mouth] = {"smile": "smile", "mouth_open": "open"}
_SPOILT_AXIS: dict[Spoil, tuple[SitterAxis, float]] = {
    "turned": ("yaw_deg", 12.0),
    "moved": ("x", 0.12),
    "tilted": ("roll_deg", 10.0),
}
_SWAY_HZ = (0.13, 0.31, 0.47)


class _Glide:
    """One axis: a smooth movement from a value to another (minimum jerk, Flash and Hogan 1985)."""

    def __init__(self, value: float) -> None:
        self._from = self._to = value
        self._since_s = 0.0
        self._duration_s = 1.0

    def at(self, now_s: float) -> float:
        part = min(max((now_s - self._since_s) / self._duration_s, 0.0), 1.0)
        return self._from + (self._to - self._from) * part**3 * (10 - 15 * part + 6 * part**2)

    def head_for(self, target: float, now_s: float, duration_s: float) -> None:
        self._from, self._to = self.at(now_s), target
        self._since_s, self._duration_s = now_s, duration_s


class Sitter:
    """One visitor, from an empty booth to the last shot. Times must not run backwards."""

    def __init__(self, scenario: Scenario, start_s: float) -> None:
        self._chance = random.Random(scenario.seed)
        self._blinks = random.Random(scenario.seed + 1)
        self._temperament = scenario.temperament
        self._spoils = list(scenario.spoil_shots)
        begins = scenario.begins or bad_start(self._chance)
        self._axes: dict[SitterAxis, _Glide] = {axis: _Glide(getattr(begins, axis)) for axis in _IDEAL}
        self._phases = {axis: [self._chance.uniform(0, math.tau) for _ in _SWAY_HZ] for axis in _IDEAL}
        self._eyes_open = begins.eyes_open
        self._mouth: Mouth = begins.mouth
        self._sits_s = start_s + scenario.arrives_s
        self._heard = ""
        self._acts_s = math.inf
        self._holds_s = math.inf
        self._blink_s = self._next_blink_s(self._sits_s)
        self._spoil: Spoil | None = None
        self._spoil_ends_s = -math.inf

    def hear(self, instruction: str, now_s: float) -> None:
        """Take note of what the screen now says; the same again changes nothing."""
        self._live_until(now_s)
        if instruction == self._heard:
            return
        self._heard = instruction
        self._holds_s = math.inf
        known = instruction in set(Instruction)
        self._acts_s = now_s + self._delay_s() if known else math.inf

    def face_shot(self, now_s: float) -> None:
        """Live through a shot, and spoil it where the scenario says so."""
        self._live_until(now_s)
        self._spoil = self._spoils.pop(0) if self._spoils else None
        self._spoil_ends_s = now_s + SPOIL_S

    def at(self, now_s: float) -> Pose | None:
        """Return the pose, or None while the seat is empty."""
        self._live_until(now_s)
        if now_s < self._sits_s:
            return None
        calm = _HELD_SWAY if now_s >= self._holds_s else 1.0
        values = {axis: self._axes[axis].at(now_s) + calm * self._sway(axis, now_s) for axis in self._axes}
        blinking = self._blink_s <= now_s
        eyes_open, mouth = self._eyes_open and not blinking, self._mouth
        if self._spoil and now_s < self._spoil_ends_s:
            eyes_open = eyes_open and self._spoil != "eyes_closed"
            mouth = _SPOILT_MOUTH.get(self._spoil, mouth)
            if self._spoil in _SPOILT_AXIS:
                axis, by = _SPOILT_AXIS[self._spoil]
                values[axis] += by
        within = {axis: min(max(value, _REACH[axis][0]), _REACH[axis][1]) for axis, value in values.items()}
        return Pose(**within, eyes_open=eyes_open, mouth=mouth)

    def _live_until(self, now_s: float) -> None:
        """Go through everything that happened up to now, in its order."""
        while self._acts_s <= now_s:
            self._act(self._acts_s)
        while self._blink_s + self._temperament.blink_s <= now_s:
            self._blink_s = self._next_blink_s(self._blink_s + self._temperament.blink_s)

    def _act(self, now_s: float) -> None:
        instruction = Instruction(self._heard)
        if instruction is Instruction.SIT_DOWN:
            self._sits_s = min(self._sits_s, now_s)
        elif now_s >= self._sits_s:
            self._follow(instruction, now_s)
        self._acts_s = now_s + self._temperament.move_s + self._delay_s()

    def _follow(self, instruction: Instruction, now_s: float) -> None:
        if instruction is Instruction.OPEN_EYES:
            self._eyes_open = True
        elif instruction in {Instruction.CLOSE_MOUTH, Instruction.RELAX_FACE}:
            self._mouth = "closed"
        elif instruction is Instruction.HOLD_STILL:
            self._holds_s = min(self._holds_s, now_s)
        elif instruction in _MOVES:
            axis, direction, least = _MOVES[instruction]
            if instruction in _SIDED and self._chance.random() < self._temperament.confuses_sides:
                direction = -direction
            value = self._axes[axis].at(now_s)
            wrong = max((_IDEAL[axis] - value) * direction, 0.0)
            step = max(wrong * self._temperament.gain, least)
            step *= max(self._chance.gauss(1.0, self._temperament.error), 0.1)
            low, high = _REACH[axis]
            target = min(max(value + direction * step, low), high)
            self._axes[axis].head_for(target, now_s, self._temperament.move_s)

    def _sway(self, axis: SitterAxis, now_s: float) -> float:
        waves = (
            math.sin(math.tau * hz * now_s + phase) for hz, phase in zip(_SWAY_HZ, self._phases[axis], strict=True)
        )
        return self._temperament.sway * _SWAY[axis] * sum(waves) / math.sqrt(len(_SWAY_HZ))

    def _delay_s(self) -> float:
        return self._temperament.delay_s * self._chance.uniform(0.75, 1.25)

    def _next_blink_s(self, after_s: float) -> float:
        every_s = self._temperament.blink_every_s
        return after_s + self._blinks.uniform(0.5, 1.5) * every_s if every_s else math.inf
