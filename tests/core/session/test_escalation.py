"""Other words, centimetres and a person, when an instruction does not help."""

from dataclasses import replace

import pytest

from kiosk.core.base.geometry import Point, Range
from kiosk.core.base.measurement import HeadPoints, Measurement, Observation
from kiosk.core.session.advice import Advice
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.coach import advise
from kiosk.core.session.escalation import OTHER_WORDS_S, PERSON_AFTER_S, has_other_words, height_off_cm, wants_person
from kiosk.core.session.instructions import Instruction
from kiosk.core.session.presenter import present
from kiosk.core.session.state import Session
from tests.support.sights import DOCUMENT, LIMITS, WHERE, seen

ATTENDED = BoothConfig((DOCUMENT,), attended=True)


def test_the_words_take_turns():
    said = [has_other_words(100.0, 100.0 + seconds) for seconds in (0.0, 5.9, 6.1, 11.9, 12.1, 18.1)]
    assert said == [False, False, True, True, False, True]
    assert not has_other_words(Advice().since_s, 100.0), "before anything has been said"


@pytest.mark.parametrize(("eye_y_px", "cm"), [(320, 0), (320 + 64, 4), (320 - 48, -3)])
def test_the_eye_line_is_off_by_centimetres(eye_y_px, cm):
    """Eyes 63 mm apart (Dodgson 2004, mean of adults) and 100.8 px in the picture make 1.6 px of a millimetre."""
    points = HeadPoints(Point(0, 0), Point(0, 0), Point(0, 0), Point(300 - 50.4, eye_y_px), Point(300 + 50.4, eye_y_px))
    assert height_off_cm(Observation(640, 800, 1, points), Range(0.3, 0.5)) == cm


def test_a_turned_head_has_its_eyes_as_far_apart_as_a_straight_one():
    points = HeadPoints(Point(0, 0), Point(0, 0), Point(0, 0), Point(300 - 25.2, 480), Point(300 + 25.2, 480))
    turned = Observation(640, 800, 1, points, {"yaw": Measurement("yaw", 60.0, "deg")})
    assert height_off_cm(turned, Range(0.3, 0.5)) == 10


def test_centimetres_stay_while_they_are_read():
    advice, told = Advice(), []
    for tick in range(30 * 14):
        moved = 0.2 - 0.0001 * tick
        advice = advise(advice, seen(dy=moved), LIMITS, tick / 30)
        told.append((has_other_words(advice.since_s, tick / 30), advice.height_off_cm))
    assert advice.instruction is Instruction.SIT_HIGHER
    assert len({cm for other, cm in told if other}) == 1
    assert len({cm for other, cm in told if not other}) > 1


def test_a_person_is_offered_after_a_set_time_or_after_shots_that_did_not_pass():
    assert not wants_person(100.0, 0, 100.0 + PERSON_AFTER_S - 1)
    assert wants_person(100.0, 0, 100.0 + PERSON_AFTER_S)
    assert wants_person(100.0, 2, 101.0)


def test_the_screen_is_told():
    advice = Advice(instruction=Instruction.SIT_HIGHER, since_s=0.0, height_off_cm=4)
    session = Session(state="align", document=DOCUMENT, where=WHERE, advice=advice)
    views = [
        present(session, ATTENDED, now_s, simulated=False, copies=1, paper="a6")
        for now_s in (1.0, OTHER_WORDS_S + 0.5, PERSON_AFTER_S)
    ]
    told = [(view.align.has_other_words, view.align.height_off_cm, view.align.wants_person) for view in views]
    assert told == [(False, 0, False), (True, 4, False), (True, 4, True)]


def test_a_person_is_offered_only_where_there_is_one_and_to_somebody():
    """An empty chair needs no help, and a booth without an attendant cannot give it."""
    session = Session(state="align", document=DOCUMENT, where=WHERE, advice=Advice(Instruction.SIT_HIGHER, 0.0))
    alone, empty = BoothConfig((DOCUMENT,)), replace(session, advice=Advice(Instruction.SIT_DOWN, 0.0))
    offered = [
        present(each, config, PERSON_AFTER_S, simulated=False, copies=1, paper="a6").align.wants_person
        for each, config in (
            (session, ATTENDED),
            (session, alone),
            (empty, ATTENDED),
            (replace(session, state="review"), ATTENDED),
        )
    ]
    assert offered == [True, False, False, False]
