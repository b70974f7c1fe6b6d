"""One instruction at a time: its order, its side, its patience."""

import itertools
from collections.abc import Mapping
from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.base.decision import Decision, Tolerance
from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.judging.conformance import word_for
from kiosk.core.judging.framing import framing
from kiosk.core.session.advice import SETTLE_S, Advice
from kiosk.core.session.coach import LIGHT, MIN_SHOWN_S, NO_CONTRADICTION_S, advise, live_limits
from kiosk.core.session.instructions import CHECKS, OPPOSITES, Instruction
from kiosk.core.view.align import Check
from tests.support.sights import DOCUMENT, LIMITS, WHERE, seen

RATE = 30


def coach(
    frames: list[Observation],
    advice: Advice | None = None,
    start_s: float = 0.0,
    limits: Mapping[str, Tolerance] = LIMITS,
) -> list[Advice]:
    advice, said = advice or Advice(), []
    for index, frame in enumerate(frames):
        advice = advise(advice, frame, limits, start_s + index / RATE)
        said.append(advice)
    return said


def after_a_while(frame: Observation) -> Instruction:
    return coach([frame] * 3 * RATE)[-1].instruction


# The sitter's right is the left of the unmirrored picture: a nose that points to the picture's right has turned to
# the sitter's left, and is asked back to the right.
SIDES = [
    ({"dx": 0.2}, Instruction.MOVE_RIGHT),
    ({"dx": -0.2}, Instruction.MOVE_LEFT),
    ({"dy": 0.2}, Instruction.SIT_HIGHER),
    ({"dy": -0.2}, Instruction.SIT_LOWER),
    ({"scale": 1.6}, Instruction.MOVE_BACK),
    ({"scale": 0.5}, Instruction.MOVE_CLOSER),
    ({"yaw": 15.0}, Instruction.TURN_RIGHT),
    ({"yaw": -15.0}, Instruction.TURN_LEFT),
    ({"pitch": 12.0}, Instruction.CHIN_DOWN),
    ({"pitch": -12.0}, Instruction.CHIN_UP),
    ({"roll": 15.0}, Instruction.TILT_RIGHT),
    ({"roll": -15.0}, Instruction.TILT_LEFT),
    ({"eyes_open": 0.0}, Instruction.OPEN_EYES),
    ({"mouth_closed": 1.0}, Instruction.CLOSE_MOUTH),
    ({"background_uniformity": 60.0}, Instruction.CLEAR_BACKGROUND),
    ({}, Instruction.HOLD_STILL),
]


@pytest.mark.parametrize(("fault", "instruction"), SIDES, ids=[str(side[1]) for side in SIDES])
def test_each_fault_has_its_instruction_on_the_sitters_own_side(fault, instruction):
    assert after_a_while(seen(**fault)) is instruction


def test_what_lasts_comes_before_place_place_before_pose_and_what_passes_last():
    """A coat on the hook is asked for before anybody sits still in front of it."""
    everything = {"scale": 1.6, "yaw": 15.0, "eyes_open": 0.0, "background_uniformity": 60.0}
    order = []
    for mended in (None, "background_uniformity", "scale", "yaw"):
        everything.pop(mended, None)
        order.append(after_a_while(seen(**everything)))
    assert order == [
        Instruction.CLEAR_BACKGROUND,
        Instruction.MOVE_BACK,
        Instruction.TURN_RIGHT,
        Instruction.OPEN_EYES,
    ]


def test_an_empty_seat_and_a_crowd_are_said_first():
    assert after_a_while(Observation(640, 800, 0)) is Instruction.SIT_DOWN
    assert after_a_while(Observation(640, 800, 2)) is Instruction.ONE_PERSON


def test_a_blink_says_nothing():
    frames = [seen()] * RATE + [seen(eyes_open=0.0)] * round(0.3 * RATE) + [seen()] * RATE
    assert {advice.instruction for advice in coach(frames)[RATE:]} == {Instruction.HOLD_STILL}


def test_a_number_at_its_limit_does_not_flicker():
    limit = LIMITS["yaw"].range.high
    frames = [seen(yaw=limit + 0.4 * (-1) ** (index // 3)) for index in range(20 * RATE)]
    shown = [advice.instruction for advice in coach(frames)]
    changes = sum(a is not b for a, b in itertools.pairwise(shown))
    assert changes <= 2


def test_a_number_that_keeps_crossing_its_limit_is_asked_for():
    """The shutter waits for a second without it, and the sitter must not wait without a word."""
    frames = [seen(yaw=yaw) for yaw in ([0.0] * 5 + [12.0] * 5) * RATE]
    said = coach([seen()] * 2 * RATE + frames)
    assert {advice.instruction for advice in said[3 * RATE :]} == {Instruction.TURN_RIGHT}
    assert not any(advice.all_kept for advice in said[3 * RATE :])
    assert coach(frames + [seen()] * RATE)[-1].all_kept


def test_following_an_instruction_is_praised():
    said = coach([seen(yaw=15.0)] * 2 * RATE + [seen()] * 2 * RATE)
    change = next(
        index for index, advice in enumerate(said) if index > 40 and advice.instruction is not said[40].instruction
    )
    assert said[change].instruction is Instruction.HOLD_STILL
    assert said[change].praise_until_s > change / RATE


def praises(said: list[Advice]) -> list[Advice]:
    return [advice for index, advice in enumerate(said) if index / RATE < advice.praise_until_s]


def test_getting_worse_while_holding_still_is_not_praised():
    """Holding still is not something that was followed once the eyes are shut."""
    said = coach([seen()] * 2 * RATE + [seen(eyes_open=0.0)] * 2 * RATE)
    assert said[-1].instruction is Instruction.OPEN_EYES
    assert not praises(said)


def test_nothing_is_praised_while_its_sign_is_amber():
    """The head is straight again, but the chin is up; and a turn that comes back takes the praise with it."""
    chin_up = coach([seen(yaw=15.0, pitch=12.0)] * 2 * RATE + [seen(pitch=12.0)] * RATE)
    assert chin_up[-1].instruction is Instruction.CHIN_DOWN
    assert not praises(chin_up)
    back = coach([seen(yaw=15.0)] * 2 * RATE + [seen()] * RATE + [seen(yaw=15.0)] * RATE)
    assert praises(back)
    assert all(Check("facing_forward", "pass") in advice.checks for advice in praises(back))


def test_hold_still_is_never_said_beside_an_amber_sign():
    """One who overshoots is not sent back at once, but is not asked to hold still in the wrong place either."""
    overshot = coach([seen(yaw=15.0)] * 2 * RATE + [seen(yaw=-15.0)] * RATE)
    assert overshot[-1].instruction is None
    assert Check("facing_forward", "fail") in overshot[-1].checks
    stirred = coach([seen()] * 5 + [seen(dx=0.2)] * 2 * RATE)
    assert stirred[-1].instruction is Instruction.MOVE_RIGHT
    assert not any(holds_beside_amber(advice) for advice in stirred)


def holds_beside_amber(advice: Advice) -> bool:
    return advice.instruction is Instruction.HOLD_STILL and any(check.word != "pass" for check in advice.checks)


@pytest.mark.parametrize("frames", [5, 8, 11])
def test_signs_settle_both_ways(frames):
    """A requirement broken or kept for less than 0.4 s turns no sign, however often."""
    kept_at_times = coach([seen(dx=0.2)] * RATE + ([seen()] * frames + [seen(dx=0.2)] * 12) * 9)[RATE:]
    assert {Check("position", "fail") in advice.checks for advice in kept_at_times} == {True}
    broken_at_times = coach([seen()] * RATE + ([seen(dx=0.2)] * frames + [seen()] * 13) * 9)[RATE:]
    assert {Check("position", "pass") in advice.checks for advice in broken_at_times} == {True}


def test_the_checks_name_what_is_broken():
    checks = {check.key: check.word for check in coach([seen(yaw=15.0)] * RATE)[-1].checks}
    assert checks == dict.fromkeys(CHECKS, "pass") | {"facing_forward": "fail"}
    assert {check.word for check in coach([Observation(640, 800, 0)])[-1].checks} == {"unmeasured"}


@pytest.mark.parametrize("decision", get_args(Decision))
def test_nobody_whose_still_would_pass_is_told_anything(decision):
    """The live view asks what the rule of decision asks of a still: 2 degrees of uncertainty about a limit of 5."""
    limits = {**LIMITS, "yaw": Tolerance(Range(-5.0, 5.0), decision)}
    for yaw in (0.0, 2.9, 3.1, 4.9, 5.1, 5.9, 6.1, 9.0):
        unsure = Measurement("yaw", yaw, "deg", 2.0)
        frame = replace(seen(), measurements={**seen().measurements, "yaw": unsure})
        passes = word_for(unsure, limits["yaw"].range, decision) == "pass"
        said = coach([frame] * RATE, limits=limits)[-1].instruction
        assert said is (Instruction.HOLD_STILL if passes else Instruction.TURN_RIGHT), yaw


def test_what_was_broken_is_brought_further_inside():
    limits = {**LIMITS, "yaw": Tolerance(Range(-5.0, 5.0), "guarded_rejection")}
    turned, nearly, well = ([seen(yaw=yaw)] * 3 * RATE for yaw in (9.0, 4.5, 3.0))
    assert coach(turned + nearly, limits=limits)[-1].instruction is Instruction.TURN_RIGHT
    assert coach(turned + well, limits=limits)[-1].instruction is Instruction.HOLD_STILL
    assert coach(nearly, limits=limits)[-1].instruction is Instruction.HOLD_STILL


def test_advice_is_not_asked_for_in_the_live_view():
    yaw = DOCUMENT.capture["yaw"].model_copy(update={"consequence": "advise"})
    document = DOCUMENT.model_copy(update={"capture": {**DOCUMENT.capture, "yaw": yaw}})
    assert set(LIMITS) - set(live_limits(document, WHERE)) == {"yaw"}


def test_the_live_picture_has_no_say_on_light_that_a_flash_will_change():
    by_flash = live_limits(DOCUMENT, WHERE, by_flash=True)
    assert set(LIMITS) - set(by_flash) == set(LIGHT) & set(LIMITS)
    assert "illumination_uniformity" in LIMITS
    uneven = Measurement("illumination_uniformity", 0.0, "ratio")
    frame = replace(seen(), measurements={**seen().measurements, uneven.name: uneven})
    assert coach([frame] * RATE)[-1].instruction is Instruction.EVEN_LIGHT
    lit = coach([frame] * RATE, limits=by_flash)[-1]
    assert lit.instruction is Instruction.HOLD_STILL
    assert "even_light" not in {check.key for check in lit.checks}


FAULTS = st.fixed_dictionaries(
    {},
    optional={
        "dx": st.sampled_from([-0.2, 0.2]),
        "scale": st.sampled_from([0.5, 1.6]),
        "yaw": st.sampled_from([-15.0, -4.0, 4.0, 15.0]),
        "pitch": st.sampled_from([-12.0, 12.0]),
        "eyes_open": st.just(0.0),
    },
)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(FAULTS, st.integers(1, 50)), min_size=2, max_size=12))
def test_whatever_the_sitter_does_the_words_stay_and_never_contradict_themselves(story):
    frames = [seen(**fault) for fault, count in story for _ in range(count)]
    said = coach(frames)
    assert not any(holds_beside_amber(advice) for advice in said)
    assert all(Check(advice.praised, "pass") in advice.checks for advice in praises(said))
    spans: list[tuple[Instruction, float, float]] = []
    for index, advice in enumerate(said):
        if advice.instruction is None:
            continue
        if not spans or spans[-1][0] is not advice.instruction:
            spans.append((advice.instruction, index / RATE, index / RATE))
        spans[-1] = (*spans[-1][:2], index / RATE)
    for (_, before_s, _), (_, start_s, _) in itertools.pairwise(spans):
        assert start_s - before_s >= MIN_SHOWN_S - 1e-6
    for index, (instruction, start_s, _) in enumerate(spans):
        for earlier, _, end_s in spans[:index]:
            if OPPOSITES.get(instruction) is earlier:
                assert start_s - end_s >= NO_CONTRADICTION_S - 1.5 / RATE


def test_nothing_is_said_before_something_has_been_seen_for_a_while():
    said = coach([seen(yaw=15.0)] * RATE)
    assert said[0].instruction is None
    assert next(advice.instruction for advice in said if advice.instruction) is Instruction.TURN_RIGHT


def test_a_fault_must_last_before_it_is_said():
    said = coach([seen()] * 2 * RATE + [seen(yaw=15.0)] * RATE)
    first = next(index for index, advice in enumerate(said) if advice.instruction is Instruction.TURN_RIGHT)
    assert first / RATE - 2.0 >= SETTLE_S - 1e-6


@pytest.mark.parametrize("height_px", [900, 2000, 4000])
def test_the_place_of_the_head_gives_the_print_its_pixels(height_px):
    head = framing(DOCUMENT, round(height_px * 0.8), height_px).head
    frame_px = head.low / (DOCUMENT.head_height_mm.middle / DOCUMENT.frame_mm.height) * height_px
    assert frame_px / (DOCUMENT.frame_mm.height / 25.4) >= DOCUMENT.needed_dpi
