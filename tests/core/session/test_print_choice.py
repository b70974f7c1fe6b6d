"""How many sheets and on which paper: asked where the shop offers a choice, with one tap to go on, and printed so."""

from dataclasses import replace
from decimal import Decimal

import pytest

from kiosk.core.judging.conformance import judge
from kiosk.core.judging.framing import framing
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import Print, Wipe
from kiosk.core.session.events import Released, Still
from kiosk.core.session.presenter import present
from kiosk.core.session.print_choice import offering
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.view.choice import Guest, PaperOffer, Price
from kiosk.core.view.intent import Intent
from tests.support.sights import DOCUMENT, conforming

CHOICE = BoothConfig(
    (DOCUMENT,),
    sheets=(1, 2, 4),
    papers={DOCUMENT.id: ("10x15cm", "13x18cm")},
    prices={DOCUMENT.id: Price(Decimal("9.50"), "GBP")},
    extras={"13x18cm": Decimal("2.25")},
)
GOOD = Still(judge(conforming(DOCUMENT), DOCUMENT), b"jpeg")
REVIEW = Session(state="review", document=DOCUMENT, where=framing(DOCUMENT, 1600, 2000), still=GOOD, shot=1)


def taps(session, *intents, config=CHOICE):
    commands = ()
    for intent in intents:
        session, commands = step(session, intent, 5.0, config)
    return session, commands


def printed(commands):
    (command,) = commands
    assert isinstance(command, Print)
    return command.sheets, command.paper


def test_one_tap_goes_on_with_what_most_people_take():
    session, commands = taps(REVIEW, Intent("accept"))
    assert (session.state, session.sheets, session.paper, commands) == ("copies", 1, "10x15cm", ())
    session, commands = taps(session, Intent("print"))
    assert session.state == "printing"
    assert printed(commands) == (1, "10x15cm")


def test_what_was_chosen_is_printed_and_costs_what_it_says():
    session, _ = taps(REVIEW, Intent("accept"), Intent("sheets", "4"), Intent("paper", "13x18cm"))
    photos_on = {"10x15cm": 8, "13x18cm": 15}
    view = present(session, CHOICE, 6.0, simulated=True, copies=15, paper="13x18cm", photos_on=photos_on)
    assert view.sheet.total == Price(Decimal("47.00"), "GBP"), "four times 9.50 and 2.25 more each, by hand"
    assert view.sheet.papers == (
        PaperOffer("10x15cm", 8, Price(Decimal("9.50"), "GBP")),
        PaperOffer("13x18cm", 15, Price(Decimal("11.75"), "GBP")),
    )
    _, commands = taps(session, Intent("print"))
    assert printed(commands) == (4, "13x18cm")


@pytest.mark.parametrize("wrong", [Intent("sheets", "3"), Intent("sheets", "x"), Intent("paper", "a4")])
def test_what_is_not_offered_is_not_taken(wrong):
    session, _ = taps(REVIEW, Intent("accept"))
    assert replace(taps(session, wrong)[0], active_s=0.0) == replace(session, active_s=0.0)


@pytest.mark.parametrize("config", [BoothConfig((DOCUMENT,)), replace(CHOICE, sheets=(2,), papers={})])
def test_nothing_is_asked_where_there_is_no_choice(config):
    session, commands = taps(REVIEW, Intent("accept"), config=config)
    assert session.state == "printing"
    assert printed(commands) == (config.sheets[0], "")


def test_a_choice_waits_for_the_attendant_too():
    config = replace(CHOICE, release="attendant")
    session, _ = taps(REVIEW, Intent("accept"), Intent("sheets", "2"), Intent("print"), config=config)
    assert session.state == "release"
    _, commands = step(session, Released(), 9.0, config)
    assert printed(commands) == (2, "10x15cm")


def test_there_is_a_way_back_and_a_way_home():
    session, _ = taps(REVIEW, Intent("accept"))
    assert taps(session, Intent("back"))[0].state == "review"
    home, commands = taps(session, Intent("start_again"))
    assert (home.state, home.still) == ("welcome", None)
    assert Wipe("abandoned") in commands


def test_a_badge_is_one():
    session, _ = taps(replace(REVIEW, guest=Guest("G1", "Ana Öz")), Intent("accept"))
    assert session.state == "printing"


def test_a_photo_that_failed_reaches_no_choice():
    failed = replace(REVIEW, still=None)
    assert taps(failed, Intent("accept"))[0].state == "review"


@pytest.mark.parametrize(("left", "offered"), [(None, (1, 2, 4)), (9, (1, 2, 4)), (3, (1, 2)), (1, (1,)), (0, (1,))])
def test_no_more_sheets_are_offered_than_there_are_by_the_count(left, offered):
    assert offering(CHOICE, left).sheets == offered
