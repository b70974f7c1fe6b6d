"""Of a burst the best still is kept, whichever comes first, and whatever goes wrong in the middle of it."""

from dataclasses import replace
from itertools import permutations

import pytest

from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.base.ticket import Ticket
from kiosk.core.judging.conformance import Assessment, Judgement, judge
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.burst import CYCLE_S, clearance, worth
from kiosk.core.session.commands import Drop, Look, Measure, Print, Shoot
from kiosk.core.session.events import Measured, Seen, ShotArrived, ShotFailed, Still
from kiosk.core.session.facts import ShotJudged, ShotLost
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.session.step_facts import facts_of
from kiosk.core.view.intent import Intent
from tests.support.sights import DOCUMENT, IN_TIME, STALE, conforming, seen, timely

HOUSE = BoothConfig((DOCUMENT,), shots=3, burst=3)
TO_ALIGN = (Intent("start"), Intent("choose", DOCUMENT.id), Intent("ready", "6"), Intent("agree"))


YAW = DOCUMENT.capture["yaw"].model_copy(update={"decision": "guarded"})
GUARDED = DOCUMENT.model_copy(update={"capture": {**DOCUMENT.capture, "yaw": YAW}})


def still(yaw_deg: float, sd_deg: float = 1.0) -> Still:
    """Return a still whose head is turned; -5 to 5 degrees are asked for, guarded on both sides."""
    turned = Measurement("yaw", yaw_deg, "deg", sd_deg)
    return Still(judge(conforming(DOCUMENT, yaw=turned), GUARDED))


NOBODY = Still(Judgement(DOCUMENT.id, Observation(1600, 2000, 0), None, ()))
NEAR, BETTER, BEST, TURNED = still(3.9), still(3.0), still(0.4), still(9.0)


def finding(value, limit, uncertainty, decision="guarded"):
    return Assessment(Measurement("yaw", value, "deg", uncertainty), limit, "pass", "", decision)


@pytest.mark.parametrize(
    ("value", "limit", "uncertainty", "clear"),
    [
        (0.0, Range(-5, 5), 2.0, 1.5),
        (3.0, Range(-5, 5), 2.0, 0.0),
        (-4.0, Range(-5, 5), 2.0, -0.5),
        (6.0, Range(-5, 5), 2.0, -1.5),
        (0.0, Range(-5, 5), 0.1, 3.0),
        (9.0, Range(None, 5), 0.0, -3.0),
        (None, Range(-5, 5), 1.0, -3.0),
    ],
)
def test_clearance_counts_standard_uncertainties_from_the_guard_band(value, limit, uncertainty, clear):
    """Guarded on both sides by one standard uncertainty; by hand."""
    assert clearance(finding(value, limit, uncertainty)) == pytest.approx(clear)


@pytest.mark.parametrize(
    ("decision", "clear"),
    [
        ("guarded", 0.0),
        ("guarded_acceptance", 0.0),
        ("simple", 1.0),
        ("guarded_rejection", 1.0),
        ("benefit_of_doubt", 2.0),
    ],
)
def test_clearance_begins_where_the_rule_lets_a_number_pass(decision, clear):
    assert clearance(finding(3.0, Range(-5, 5), 2.0, decision)) == pytest.approx(clear)


def test_the_verdict_counts_before_the_margins():
    ordered = [NOBODY, TURNED, still(4.5), NEAR, BETTER, BEST]
    assert [one.judgement.verdict for one in ordered] == ["unmeasurable", "fail", "refer", "pass", "pass", "pass"]
    worths = [worth(one.judgement) for one in ordered]
    assert worths == sorted(worths)
    assert len(set(worths)) == len(worths)


def test_one_failure_is_better_than_two():
    shut = Measurement("eyes_open", 0.0, "ratio")
    twice = judge(conforming(DOCUMENT, eyes_open=shut, yaw=Measurement("yaw", 9.0, "deg")), DOCUMENT)
    once = judge(conforming(DOCUMENT, eyes_open=shut), DOCUMENT)
    assert worth(once) > worth(twice)


def shooting():
    session, now_s = Session(), 0.0
    for event in (*TO_ALIGN, *(Seen(seen()),) * 60):
        session, commands = step(session, event, now_s, HOUSE)
        if any(isinstance(command, Shoot) for command in commands):
            return session, now_s
        now_s += 0.1
    raise AssertionError("no shot")


def play(session, *timed):
    """Feed events with their times; return the session, all commands, and the facts."""
    commands, facts = [], []
    for now_s, told in timed:
        event = timely(session, told)
        after, new = step(session, event, now_s, HOUSE)
        facts += facts_of(session, event, after, new)
        session, commands = after, commands + list(new)
    return session, commands, facts


@pytest.mark.parametrize("order", list(permutations((NEAR, BEST, TURNED))))
def test_the_best_of_three_is_kept_and_the_others_are_dropped_at_once(order):
    session, t = shooting()
    arrivals = [(t + 0.5 * n, ShotArrived(IN_TIME, bytes([n]))) for n in (1, 2, 3)]
    session, commands, _ = play(session, *arrivals)
    assert [type(each) for each in commands] == [Measure, Shoot, Measure, Shoot, Measure]
    assert [each.number for each in commands if isinstance(each, Measure)] == [1, 2, 3]
    assert session.state == "measuring"
    measured = [(t + 2 + 0.1 * n, Measured(Ticket(n), each)) for n, each in enumerate(order, start=1)]
    session, commands, facts = play(session, *measured)
    best = order.index(BEST) + 1
    assert session.state == "review"
    assert (session.still.judgement, session.still.number) == (BEST.judgement, best)
    assert {each.number for each in commands if isinstance(each, Drop)} == {1, 2, 3} - {best}
    assert [(fact.number, fact.verdict) for fact in facts if isinstance(fact, ShotJudged)] == [(1, "pass")]
    session, commands, _ = play(session, (t + 9, Intent("accept")))
    assert isinstance(commands[0], Print)


def test_a_still_is_measured_while_the_next_is_taken():
    session, t = shooting()
    session, commands, _ = play(
        session,
        (t + 0.5, ShotArrived(IN_TIME, b"1")),
        (t + 0.8, Measured(Ticket(1), NEAR)),
        (t + 1.0, ShotArrived(IN_TIME, b"2")),
    )
    assert session.state == "shooting"
    session, commands, _ = play(session, (t + 1.2, Measured(Ticket(2), BETTER)), (t + 1.5, ShotArrived(IN_TIME, b"3")))
    assert commands[0] == Drop(1)
    session, commands, _ = play(session, (t + 1.8, Measured(Ticket(3), TURNED)))
    assert (session.state, session.still.number, commands) == ("review", 2, [Drop(3)])


def test_a_slow_camera_takes_one_still():
    session, t = shooting()
    session, commands, _ = play(session, (t + CYCLE_S + 0.1, ShotArrived(IN_TIME, b"1")))
    assert session.state == "measuring"
    assert [type(each) for each in commands] == [Measure]


def test_a_still_that_the_camera_loses_does_not_cost_those_that_came():
    session, t = shooting()
    session, _, facts = play(session, (t + 0.5, ShotArrived(IN_TIME, b"1")), (t + 0.9, ShotFailed(IN_TIME)))
    assert (session.state, facts) == ("measuring", [ShotLost(1)])
    late, _, _ = play(session, (t + 1.0, ShotArrived(IN_TIME, b"stray")), (t + 1.1, ShotFailed(IN_TIME)))
    assert late == session
    session, _, _ = play(session, (t + 1.2, Measured(Ticket(1), BEST)))
    assert (session.state, session.still.number) == ("review", 1)


def test_a_camera_that_fails_after_all_were_measured_ends_the_burst_at_once():
    session, t = shooting()
    session, _, facts = play(
        session,
        (t + 0.5, ShotArrived(IN_TIME, b"1")),
        (t + 0.7, Measured(Ticket(1), BEST)),
        (t + 0.9, ShotFailed(IN_TIME)),
    )
    assert session.state == "review"
    assert [type(fact) for fact in facts] == [ShotLost, ShotJudged]


def test_a_damaged_still_is_dropped_and_the_others_count():
    session, t = shooting()
    arrivals = [(t + 0.5 * n, ShotArrived(IN_TIME, bytes([n]))) for n in (1, 2, 3)]
    session, commands, facts = play(
        session,
        *arrivals,
        (t + 2.0, ShotFailed(Ticket(1))),
        (t + 2.1, Measured(Ticket(2), NEAR)),
        (t + 2.2, ShotFailed(Ticket(3))),
    )
    assert (session.state, session.still.number) == ("review", 2)
    assert [each for each in commands if isinstance(each, Drop)] == [Drop(1), Drop(3)]
    assert [type(fact) for fact in facts] == [ShotLost, ShotLost, ShotJudged]


def test_when_all_are_lost_the_shot_is_taken_again():
    session, t = shooting()
    again, commands, _ = play(session, (t + 0.5, ShotFailed(IN_TIME)))
    assert (again.state, commands) == ("align", [Look(True)])
    session, commands, _ = play(
        session, (t + 0.5, ShotArrived(IN_TIME, b"1")), (t + 0.9, ShotFailed(IN_TIME)), (t + 1.2, ShotFailed(Ticket(1)))
    )
    assert (session.state, commands[-2:]) == ("align", [Drop(1), Look(True)])
    assert session.burst == replace(Session()).burst


def test_a_measurement_of_another_sitters_burst_is_not_taken():
    session, t = shooting()
    session, _, _ = play(session, (t + 0.5, ShotArrived(IN_TIME, b"1")))
    after, commands, _ = play(session, (t + 0.6, Measured(STALE, BEST)), (t + 0.7, ShotFailed(STALE)))
    assert (after, commands) == (session, [])
