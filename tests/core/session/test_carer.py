"""A child with a carer, and a baby that lies below the camera: own order, own time, and only what the rule asks."""

from dataclasses import replace

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.carer import CHILD_HOLD_S, care_of
from kiosk.core.session.coach import live_limits
from kiosk.core.session.commands import Look, Measure, Print, Shoot
from kiosk.core.session.events import Seen, ShotArrived
from kiosk.core.session.presenter import present
from kiosk.core.session.shutter import HOLD_S
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.view.intent import Intent
from tests.support.shipped import CATALOGUE
from tests.support.sights import DOCUMENT, WHERE, seen

HOUSE = BoothConfig((DOCUMENT,), still_px=(1600, 2000))
ABOVE = replace(HOUSE, lying_deg=90)


@pytest.mark.parametrize(
    ("ages", "age", "can_lie", "care"),
    [
        ((0, 1, 6), 0, True, "lying"),
        ((0, 1, 6), 0, False, "child"),
        ((0, 1, 6), 1, True, "child"),
        ((0, 1, 6), 6, True, "self"),
        ((0, 6, 10), 0, True, "child"),
        ((0, 6, 10), 6, True, "self"),
        ((0, 11), 0, True, "self"),
        ((), 0, True, "self"),
    ],
)
def test_who_reads_the_words_follows_from_the_ages_of_the_document(ages, age, can_lie, care):
    assert care_of(ages, age, can_lie=can_lie) == care


def aligned(age, config=HOUSE):
    session, commands = Session(), ()
    for intent in (Intent("start"), Intent("choose", DOCUMENT.id), Intent("ready", age), Intent("agree")):
        session, commands = step(session, intent, 0.0, config)
    return session, commands


def test_what_the_rule_lifts_is_neither_asked_nor_shown():
    """GB passport: under 1 the eyes may be closed, under 6 no plain expression is asked (specs, quoted)."""
    baby, _ = aligned("0")
    shown = {check.key for check in baby.advice.checks}
    assert shown == {"position", "facing_forward", "even_light", "plain_background"}
    asleep = seen(eyes_open=0.0, mouth_closed=0.5)
    for tick in range(12):
        baby, _ = step(baby, Seen(asleep), tick * 0.1, HOUSE)
    assert {check.key for check in baby.advice.checks} == shown
    assert not baby.advice.broken
    toddler, _ = aligned("1")
    assert "eyes_open" in {check.key for check in toddler.advice.checks}
    adult, _ = aligned("6")
    assert len(adult.advice.checks) == 6


def seconds_to_the_shot(age):
    session, _ = aligned(age)
    for tick in range(100):
        session, commands = step(session, Seen(seen()), tick / 30, HOUSE)
        if any(isinstance(command, Shoot) for command in commands):
            return tick / 30
    raise AssertionError("no shot")


def test_a_child_need_not_hold_as_long():
    assert seconds_to_the_shot("6") - seconds_to_the_shot("1") == pytest.approx(HOLD_S - CHILD_HOLD_S, abs=0.05)


def test_a_baby_that_lies_is_seen_upright_on_the_whole_way():
    session, commands = aligned("0", ABOVE)
    assert commands == (Look(True, 90),)
    assert session.where == aligned("0", replace(HOUSE, still_px=(2000, 1600)))[0].where, "a picture on its side"
    measured = step(replace(session, state="shooting"), ShotArrived(session.burst.ordered, b"jpeg"), 9.0, ABOVE)[1]
    assert [each.turned_deg for each in measured if isinstance(each, Measure)] == [90]
    assert Print(Ticket(1), None, DOCUMENT, turned_deg=90).turned_deg == 90
    view = present(session, ABOVE, 1.0, simulated=True, copies=8, paper="10x15cm")
    assert (view.care, view.align.mirror) == ("lying", False)
    upright = aligned("6", ABOVE)[0]
    assert (upright.turned_deg, upright.where) == (0, WHERE)


def test_a_child_is_seen_as_in_a_mirror():
    view = present(aligned("1", ABOVE)[0], ABOVE, 1.0, simulated=True, copies=8, paper="10x15cm")
    assert (view.care, view.align.mirror) == ("child", True)


def test_no_shipped_document_asks_a_child_for_what_it_does_not_ask_of_adults():
    for document in CATALOGUE.all():
        for age in document.ages:
            where = {"head_share", "eye_x", "eye_y"}
            assert set(live_limits(document.for_age(age), WHERE)) <= set(document.capture) | where
