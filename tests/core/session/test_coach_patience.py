"""What the coach does about an instruction that has no effect."""

from dataclasses import replace

import pytest

from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.session.advice import UNANSWERED_S, Advice
from kiosk.core.session.coach import advise
from kiosk.core.session.instructions import Instruction
from tests.support.sights import LIMITS, seen

RATE = 30


def pitched(value_deg: float, uncertainty_deg: float = 3.5, **others: float) -> Observation:
    """Return a sitter whose chin is read so, as far as a face can be read (`likely_pitch_deg`)."""
    sight = seen(**others)
    pitch = Measurement("pitch", value_deg, "deg", uncertainty_deg)
    return replace(sight, measurements={**sight.measurements, "pitch": pitch})


def said(sight: Observation, lasts_s: float) -> list[Advice]:
    """Return the advice about a sitter who does not react."""
    advice, given = Advice(), []
    for index in range(round(lasts_s * RATE)):
        advice = advise(advice, sight, LIMITS, index / RATE)
        given.append(advice)
    return given


def asked(given: list[Advice]) -> list[Instruction | None]:
    """Return the instructions in the order in which they came on the screen."""
    shown = [advice.instruction for advice in given]
    return [new for old, new in zip([None, *shown], shown, strict=False) if new is not old]


def test_a_backdrop_that_only_looks_wrong_from_where_the_sitter_is_does_not_keep_them_there():
    given = said(seen(background_uniformity=60.0, scale=1.6), 3 * UNANSWERED_S)
    assert asked(given)[:3] == [Instruction.CLEAR_BACKGROUND, Instruction.MOVE_BACK, Instruction.CLEAR_BACKGROUND]
    assert not any(advice.all_kept for advice in given)
    assert not any(advice.praised for advice in given)


def test_each_of_several_that_have_no_effect_comes_again():
    faults = {"background_uniformity": 60.0, "scale": 1.6, "yaw": 15.0}
    order = asked(said(seen(**faults), 6.5 * UNANSWERED_S))
    assert order == 2 * [Instruction.CLEAR_BACKGROUND, Instruction.MOVE_BACK, Instruction.TURN_RIGHT] + order[:1]


@pytest.mark.parametrize(("pitch_deg", "is_shot"), [(8.0, True), (11.0, True), (13.0, False)])
def test_a_chin_that_is_not_surely_too_high_is_asked_for_and_then_left_to_the_still(pitch_deg, is_shot):
    """Five degrees, read with a standard uncertainty of 3.5: passed up to 8.5, refused beyond 12."""
    given = said(pitched(pitch_deg), UNANSWERED_S + 3.0)
    assert (Instruction.CHIN_DOWN in asked(given)) == (pitch_deg > 8.5)
    assert given[-1].all_kept == is_shot


def opened(*openings: float) -> list[Advice]:
    """Return the advice to eyes that open so far, two seconds each, read with a standard uncertainty of 0.12."""
    advice, given = Advice(), []
    for index in range(len(openings) * 2 * RATE):
        sight, wide = seen(), openings[index // (2 * RATE)]
        eyes = Measurement("eyes_open", wide, "ratio", 0.12)
        sight = replace(sight, measurements={**sight.measurements, "eyes_open": eyes})
        advice = advise(advice, sight, LIMITS, index / RATE)
        given.append(advice)
    return given


def test_narrow_eyes_are_measured_by_their_own_opening():
    """Read at 0.39: open beside the limit of 0.3, and too near to it for a still that must be sure."""
    limit = LIMITS["eyes_open"]
    assert limit.range.low < 0.39 < limit.accepted(0.12).low
    assert asked(opened(0.39)) == [Instruction.HOLD_STILL]
    assert Instruction.OPEN_EYES in asked(opened(0.39, 0.25, 0.39))
    assert Instruction.OPEN_EYES in asked(opened(1.0, 0.39))
    assert Instruction.OPEN_EYES in asked(opened(0.1))


def test_nobody_on_the_seat_is_not_given_up():
    assert asked(said(Observation(640, 800, 0), 3 * UNANSWERED_S)) == [Instruction.SIT_DOWN]
