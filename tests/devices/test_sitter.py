from __future__ import annotations

import itertools
import random
import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.session.instructions import Instruction
from kiosk.devices.sim.scenario import Pose, Scenario, Temperament, bad_start
from kiosk.devices.sim.sitter import SPOIL_S, Sitter

EXACT = Temperament(error=0, sway=0, blink_every_s=0, gain=1)
STEP_S = 1 / 30

# Names are the sitter's own sides; axes are those of kiosk.core.base.measurement (the picture is not mirrored): the
# sitter's left is the picture's right, so x, yaw and roll all rise to the sitter's left; y falls upwards.
DIRECTIONS = [
    ("move_left", "x", +1),
    ("move_right", "x", -1),
    ("sit_higher", "y", -1),
    ("sit_lower", "y", +1),
    ("move_closer", "scale", +1),
    ("move_back", "scale", -1),
    ("turn_left", "yaw_deg", +1),
    ("turn_right", "yaw_deg", -1),
    ("chin_up", "pitch_deg", +1),
    ("chin_down", "pitch_deg", -1),
    ("tilt_left", "roll_deg", +1),
    ("tilt_right", "roll_deg", -1),
]
IDEAL = {"x": 0.0, "y": 0.0, "scale": 1.0, "yaw_deg": 0.0, "pitch_deg": 0.0, "roll_deg": 0.0}
GOOD = {"x": 0.03, "y": 0.03, "scale": 0.06, "yaw_deg": 3.0, "pitch_deg": 3.0, "roll_deg": 2.5}


def seated(**changes):
    begins = {"begins": Pose(), "arrives_s": 0.0, "temperament": EXACT}
    return Sitter(Scenario(**begins | changes), start_s=0.0)


def attentive_coach(pose):
    """Return the instruction that a coach who sees the truth would give, or an empty one."""
    if pose is None:
        return "sit_down"
    if not pose.eyes_open:
        return "open_eyes"
    if pose.mouth != "closed":
        return "close_mouth"
    off = {axis: (getattr(pose, axis) - IDEAL[axis]) / GOOD[axis] for axis in IDEAL}
    worst = max(off, key=lambda axis: abs(off[axis]))
    if abs(off[worst]) < 1:
        return ""
    return next(name for name, axis, sign in DIRECTIONS if axis == worst and sign * off[worst] < 0)


@pytest.mark.parametrize(("instruction", "axis", "sign"), DIRECTIONS)
def test_an_instruction_moves_the_sitter_to_their_own_side(instruction, axis, sign):
    sitter = seated()
    sitter.hear(instruction, 1.0)
    moved = {name: getattr(sitter.at(3.0), name) - IDEAL[name] for name in IDEAL}
    assert moved.pop(axis) * sign > 0
    assert set(moved.values()) == {0.0}


@pytest.mark.parametrize("instruction", ["", "no_such_key", "even_light", "clear_background", "one_person"])
def test_what_a_sitter_cannot_follow_changes_nothing(instruction):
    sitter = seated()
    sitter.hear(instruction, 1.0)
    assert sitter.at(30.0) == Pose()


def test_the_face_is_put_right_when_told():
    sitter = seated(begins=Pose(eyes_open=False, mouth="smile"))
    sitter.hear("open_eyes", 0.0)
    assert sitter.at(2.0) == Pose(mouth="smile")
    sitter.hear("relax_face", 2.0)
    assert sitter.at(4.0) == Pose()


def test_nothing_happens_before_the_delay_and_the_whole_error_is_gone_after_the_movement():
    temperament = EXACT.model_copy(update={"delay_s": 1.0, "move_s": 0.5})
    sitter = seated(begins=Pose(yaw_deg=12), temperament=temperament)
    sitter.hear("turn_right", 10.0)
    assert sitter.at(10.74).yaw_deg == 12
    sitter.hear("hold_still", 11.2)
    assert sitter.at(11.8).yaw_deg == pytest.approx(0, abs=1e-9)


@given(st.integers(0, 10_000))
@settings(deadline=None)
def test_a_coached_sitter_arrives_within_two_minutes_from_any_start(seed):
    sitter = Sitter(Scenario(seed=seed), start_s=0.0)
    good_s = 0.0
    for tick in range(120 * 30):
        now_s = tick * STEP_S
        instruction = attentive_coach(sitter.at(now_s))
        good_s = good_s + STEP_S if instruction == "" else 0.0
        if good_s >= 1.0:
            return
        if tick % 10 == 0:
            sitter.hear(instruction, now_s)
    pytest.fail(f"never good for a second; at the end {sitter.at(120.0)}")


@given(st.integers(0, 1000), st.lists(st.sampled_from(sorted(Instruction)), min_size=1, max_size=6))
@settings(deadline=None)
def test_what_happens_does_not_depend_on_how_often_one_looks(seed, instructions):
    scenario = Scenario(seed=seed, temperament=Temperament(confuses_sides=0.3))
    watched, unwatched = Sitter(scenario, 0.0), Sitter(scenario, 0.0)
    for number, instruction in enumerate(instructions):
        for step in range(30):
            watched.at(2.0 * number + step / 15)
        watched.hear(instruction, 2.0 * (number + 1))
        unwatched.hear(instruction, 2.0 * (number + 1))
    assert watched.at(20.0) == unwatched.at(20.0)


def test_the_seat_is_empty_until_the_sitter_arrives():
    sitter = seated(arrives_s=5.0)
    assert sitter.at(4.99) is None
    assert sitter.at(5.0) == Pose()


def test_the_instruction_to_sit_down_hurries_the_sitter():
    sitter = seated(arrives_s=100.0)
    sitter.hear("sit_down", 1.0)
    assert sitter.at(1.0) is None
    assert sitter.at(3.0) == Pose()


@pytest.mark.parametrize(
    ("spoil", "is_spoilt"),
    [
        ("eyes_closed", lambda pose: not pose.eyes_open),
        ("smile", lambda pose: pose.mouth == "smile"),
        ("mouth_open", lambda pose: pose.mouth == "open"),
        ("turned", lambda pose: abs(pose.yaw_deg) > 10),
        ("moved", lambda pose: abs(pose.x) > 0.1),
        ("tilted", lambda pose: abs(pose.roll_deg) > 8),
    ],
)
def test_the_first_shot_is_spoilt_and_the_second_is_not(spoil, is_spoilt):
    sitter = seated(spoil_shots=(spoil,))
    assert not is_spoilt(sitter.at(9.9))
    sitter.face_shot(10.0)
    assert is_spoilt(sitter.at(10.0))
    assert not is_spoilt(sitter.at(10.0 + SPOIL_S))
    sitter.face_shot(20.0)
    assert not is_spoilt(sitter.at(20.0))


def test_spoiling_stays_within_what_a_neck_can_do():
    sitter = seated(begins=Pose(yaw_deg=28, x=0.3, roll_deg=20), spoil_shots=("turned", "moved", "tilted"))
    for now_s in (1.0, 2.0, 3.0):
        sitter.face_shot(now_s)
        assert sitter.at(now_s) is not None


def test_a_confused_sitter_takes_left_for_right_but_not_up_for_down():
    confused = EXACT.model_copy(update={"confuses_sides": 1.0})
    sitter = seated(temperament=confused)
    sitter.hear("turn_left", 0.0)
    assert sitter.at(2.0).yaw_deg < 0
    sitter = seated(temperament=confused)
    sitter.hear("chin_up", 0.0)
    assert sitter.at(2.0).pitch_deg > 0


def test_blinks_are_as_long_and_as_frequent_as_asked():
    sitter = seated(temperament=EXACT.model_copy(update={"blink_every_s": 4.0, "blink_s": 0.2}))
    shut = [not sitter.at(tick / 100).eyes_open for tick in range(100 * 400)]
    blinks = [sum(run) for is_shut, run in itertools.groupby(shut) if is_shut]
    assert all(19 <= length <= 21 for length in blinks)
    assert len(blinks) == pytest.approx(400 / 4.2, rel=0.1)


def test_holding_still_makes_the_sway_smaller():
    sitter = seated(temperament=EXACT.model_copy(update={"sway": 2.0}))
    before = statistics.pstdev(sitter.at(tick / 10).yaw_deg for tick in range(600))
    sitter.hear("hold_still", 60.0)
    after = statistics.pstdev(sitter.at(62 + tick / 10).yaw_deg for tick in range(600))
    assert 0.2 < after < 0.6 * before


@given(st.integers(0, 10_000))
def test_a_bad_start_is_bad_and_possible(seed):
    pose = bad_start(random.Random(seed))
    assert abs(pose.yaw_deg) > GOOD["yaw_deg"]
    assert abs(pose.x) > GOOD["x"]
    assert abs(pose.scale - 1) > GOOD["scale"]
