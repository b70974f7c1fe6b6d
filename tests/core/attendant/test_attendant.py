"""The attendant's desk as one pure step: who gets in, what can be done, and what it leaves on record."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.attendant.pin_lock import FREE_TRIES
from kiosk.core.attendant.presenter import present_desk
from kiosk.core.attendant.state import (
    CheckPin,
    CheckReadiness,
    Desk,
    DeskConfig,
    EndProgram,
    Record,
    Refuse,
    SaveDesk,
    TakeTestShot,
    TellSession,
    TrialShot,
)
from kiosk.core.attendant.status_lines import DOING, BoothStatus
from kiosk.core.attendant.step import BOOTH, act_from_page, ask, attend, checked, close, close_if_idle, ended, sent
from kiosk.core.base.ticket import Ticket
from kiosk.core.judging.override import REASONS
from kiosk.core.session.advice import Advice
from kiosk.core.session.booth_config import BoothConfig, Reception
from kiosk.core.session.commands import Look
from kiosk.core.session.events import AgeTold, CallAnswered, Overridden, Released
from kiosk.core.session.facts import Attended
from kiosk.core.session.state import NEXT, Session
from kiosk.core.session.step import step
from kiosk.core.view.attendant import DeskIntent
from kiosk.core.view.intent import Ease, Intent
from tests.support.played import BAD, NEARLY, review
from tests.support.shipped import CATALOGUE
from tests.support.sights import DOCUMENT

POST = DeskConfig(has_pin=True)
IDLE = Session()
UNDER_REVIEW = replace(review(), still=NEARLY)
INSIDE = Desk(page="state", active_s=0.0)


def give(desk, *orders, session=IDLE, now_s=1.0):
    done = []
    for order in orders:
        desk, more = attend(desk, order, session, now_s, POST)
        done += more
    return desk, done


def typed(pin):
    return [DeskIntent("digit", digit) for digit in pin]


def test_a_pin_is_typed_and_checked_elsewhere_and_its_digits_are_forgotten():
    desk, done = give(
        Desk(), DeskIntent("open"), *typed("4802"), DeskIntent("erase"), *typed("217"), DeskIntent("enter")
    )
    assert done == [SaveDesk(), CheckPin(BOOTH, "480217")], "a try is counted before it is checked"
    assert (desk.page, desk.digits, desk.asker) == ("pin", "", BOOTH)
    desk, done = checked(desk, BOOTH, 2.0, right=True)
    assert desk.page == "state"
    assert done == (Record(Attended("signed_in")), SaveDesk(), CheckReadiness())


def test_no_secret_shows_in_what_is_logged():
    assert "480217" not in repr(Desk(digits="480217")) + repr(CheckPin(BOOTH, "480217"))


def test_without_a_pin_nobody_gets_in():
    assert attend(Desk(), DeskIntent("open"), IDLE, 1.0, DeskConfig(has_pin=False))[0].page == "closed"


@pytest.mark.parametrize("name", ["show", "release", "shut", "end", "override", "test_shot", "start_again", "enter"])
@pytest.mark.parametrize("page", ["closed", "pin"])
def test_nothing_can_be_ordered_before_the_pin(name, page):
    waiting = replace(review(), state="release")
    for argument in ("", "state", "medical"):
        desk, done = give(Desk(page=page), DeskIntent(name, argument), session=waiting)
        assert (desk.page, done) == (page, [])


@pytest.mark.parametrize(("tries", "other"), [(BOOTH, "page"), ("page", BOOTH)])
def test_wrong_pins_lock_where_they_were_typed_and_a_right_one_clears_them(tries, other):
    """Nobody on the network locks the booth's own desk, however often they try."""
    desk = Desk(page="pin")
    for _ in range(FREE_TRIES):
        desk, _ = ask(desk, tries, "000001", 10.0)
        desk, done = checked(desk, tries, 10.0, right=False)
    assert done == (Record(Attended("pin_wrong")),)
    assert ask(desk, tries, "480217", 11.0) == (desk, (Refuse(tries),))
    assert CheckPin(other, "480217") in ask(desk, other, "480217", 11.0)[1]
    asked, done = ask(desk, tries, "480217", 41.0)
    assert done == (SaveDesk(), CheckPin(tries, "480217"))
    desk, done = checked(asked, tries, 42.0, right=True)
    assert (desk.lock.wrong, desk.page_lock.wrong) == (0, 0)
    assert desk.page == ("state" if tries == BOOTH else "pin"), "a right PIN elsewhere opens no desk here"
    assert SaveDesk() in done


def test_one_pin_is_checked_at_a_time_so_that_no_try_slips_past_the_lock():
    desk, _ = ask(Desk(), "page", "000001", 1.0)
    assert ask(desk, "other", "000002", 1.0) == (desk, (Refuse("other"),))


def test_a_desk_that_nobody_touches_closes_with_nothing_left_on_it():
    desk = replace(INSIDE, shot=TrialShot(("told",), b"jpeg"), digits="12", active_s=100.0)
    assert close_if_idle(desk, 100.0 + POST.idle_s, POST) == desk
    shut = close_if_idle(desk, 101.0 + POST.idle_s, POST)
    assert (shut.page, shut.shot, shut.digits) == ("closed", None, "")


def test_a_photo_is_passed_for_a_listed_reason_only():
    for key in REASONS:
        desk, done = give(replace(INSIDE, page="override"), DeskIntent("override", key), session=UNDER_REVIEW)
        assert (desk.page, done) == ("state", [TellSession(Overridden(key))])
    for session, key in ((UNDER_REVIEW, "because"), (IDLE, "medical"), (replace(UNDER_REVIEW, still=BAD), "medical")):
        assert give(replace(INSIDE, page="override"), DeskIntent("override", key), session=session)[1] == []


def test_paper_is_counted_down_and_none_shuts_the_booth():
    desk, done = give(INSIDE, DeskIntent("show", "paper"), *typed("2"), DeskIntent("enter"))
    assert (desk.sheets, desk.page) == (2, "state")
    assert done == [Record(Attended("paper_changed")), SaveDesk()]
    desk, done = sent(desk, "a", 1)
    assert (desk.sheets, desk.on_their_way, done) == (2, (("a", 1),), (SaveDesk(),))
    desk, done = ended(desk, "a", printed=True)
    assert (desk.sheets, desk.on_their_way, desk.why_shut, done) == (1, (), None, (SaveDesk(),))
    desk, _ = ended(sent(desk, "b", 3)[0], "b", printed=True)
    assert desk.sheets == 0
    assert desk.why_shut is not None
    desk, _ = give(desk, DeskIntent("show", "paper"), *typed("100"), DeskIntent("enter"))
    assert (desk.sheets, desk.why_shut) == (100, None)


def test_sheets_that_nobody_counted_are_not_counted_down():
    desk, done = sent(Desk(), "a", 1)
    assert done == ()
    assert ended(desk, "a", printed=True) == (Desk(), ())


def test_each_job_is_counted_once_and_only_if_it_came_out():
    desk = Desk(sheets=9)
    for key in ("a", "b", "a"):
        desk, _ = sent(desk, key, 2)
    assert desk.on_their_way == (("b", 2), ("a", 2))
    desk, done = ended(desk, "a", printed=False)
    assert (desk.sheets, desk.on_their_way, done) == (9, (("b", 2),), (SaveDesk(),))
    desk, _ = ended(desk, "b", printed=True)
    assert desk.sheets == 7
    assert ended(desk, "b", printed=True) == (desk, ())


def test_out_of_order_and_open_again():
    shut, done = give(INSIDE, DeskIntent("show", "sure_shut"), DeskIntent("shut"))
    assert shut.why_shut is not None
    assert done == [Record(Attended("closed")), SaveDesk()]
    opened, done = give(shut, DeskIntent("open_again"))
    assert (opened.why_shut, done) == (None, [Record(Attended("opened")), SaveDesk()])


def test_the_program_ends_only_after_being_asked_again():
    assert give(INSIDE, DeskIntent("end"))[1] == []
    desk, done = give(INSIDE, DeskIntent("show", "sure_end"), DeskIntent("end"))
    assert desk.page == "closed"
    assert done == [Record(Attended("ended")), TellSession(Intent("start_again")), EndProgram()]


def test_a_test_shot_is_taken_only_where_no_sitter_is():
    desk, done = give(replace(INSIDE, page="shot"), DeskIntent("test_shot"))
    assert (desk.is_testing, done) == (True, [TakeTestShot(Ticket(1, "attendant")), Record(Attended("test_shot"))])
    assert give(desk, DeskIntent("test_shot"))[1] == []
    assert give(replace(INSIDE, page="shot"), DeskIntent("test_shot"), session=review())[1] == []


def test_from_the_page_a_call_is_answered_a_sheet_released_and_the_booth_shut_and_nothing_else():
    waiting = replace(review(), state="release", called=True)
    assert act_from_page(Desk(), DeskIntent("release"), waiting)[1] == (TellSession(Released()),)
    assert act_from_page(Desk(), DeskIntent("answer"), waiting)[1] == (TellSession(CallAnswered()),)
    shut, _ = act_from_page(Desk(), DeskIntent("shut"), waiting)
    assert (shut.is_shut, shut.page) == (True, "closed")
    for name in ("open", "show", "override", "test_shot", "end", "language", "start_again", "enter"):
        assert act_from_page(Desk(), DeskIntent(name, "medical"), UNDER_REVIEW) == (Desk(), ())


ORDERS = st.builds(
    DeskIntent,
    st.sampled_from(
        ["open", "leave", "digit", "erase", "enter", "show", "release", "answer", "override", "shut", "end"]
    ),
    st.sampled_from(["", "0", "7", "77", "٧", "state", "pin", "closed", "paper", "sure_end", "medical", "x"]),
)


@settings(max_examples=200, deadline=None)
@given(st.lists(ORDERS, max_size=40))
def test_no_way_leads_past_the_pin(orders):
    desk = Desk()
    for order in orders:
        desk, done = attend(desk, order, replace(review(), state="release", called=True), 1.0, POST)
        assert desk.page in ("closed", "pin")
        assert all(isinstance(each, CheckPin | SaveDesk) for each in done)
    assert close(desk).page == "closed"


@pytest.mark.parametrize("state", NEXT)
@pytest.mark.parametrize("reception", [None, Reception(None), Reception(DOCUMENT)])
def test_the_desk_tells_of_a_sitter_wherever_one_stands_and_of_the_rules_that_are_judged_by(state, reception):
    config = BoothConfig((DOCUMENT,) if reception is None else (), reception=reception)
    view = present_desk(INSIDE, Session(state=state), config, BoothStatus(), 1.0, POST)
    told = {line.name: line.words for line in view.lines}
    assert told["Sitter"].startswith(DOING[state])
    judges = reception is None or reception.document is not None
    assert ("Rules" in told) == judges


CHILDREN = next(document for document in CATALOGUE.all() if len(document.ages) > 1 and document.size)
OLDEST = CHILDREN.ages[-1]
CHILD = next(age for age in CHILDREN.ages if CHILDREN.for_age(age) != CHILDREN.for_age(OLDEST))
FOR_CHILDREN = BoothConfig((CHILDREN,))


@pytest.mark.parametrize("state", ["privacy", "align", "review"])
def test_the_attendant_says_whose_photo_it_is_and_the_rules_for_that_age_hold(state):
    sitter = replace(review(), state=state, document=CHILDREN.for_age(OLDEST), shot=2)
    _, done = give(replace(INSIDE, page="age"), DeskIntent("age", str(CHILD)), session=sitter)
    assert done == [TellSession(AgeTold(CHILD)), Record(Attended("sitter_helped"))]
    after, commands = step(sitter, done[0].event, 5.0, FOR_CHILDREN)
    assert after.document == CHILDREN.for_age(CHILD) != sitter.document
    assert after.state == ("privacy" if state == "privacy" else "align")
    assert after.shot == (2 if state == "privacy" else 0)
    assert after.still is None or state == "privacy", "what other rules have judged is taken again"
    assert commands == (() if state == "privacy" else (Look(True),))


def test_an_answer_of_the_attendant_is_as_good_as_the_sitters():
    sitter = Session(state="prepare", document=CHILDREN)
    told, _ = step(sitter, AgeTold(CHILD), 5.0, FOR_CHILDREN)
    assert told == step(sitter, Intent("ready", str(CHILD)), 5.0, FOR_CHILDREN)[0]


@pytest.mark.parametrize("state", ["welcome", "choose", "shooting", "measuring", "release", "printing", "collect"])
def test_nobodys_age_is_told_where_it_no_longer_matters(state):
    sitter = Session(state=state, document=None if state in ("welcome", "choose") else CHILDREN)
    _, done = give(replace(INSIDE, page="age"), DeskIntent("age", str(CHILD)), session=sitter)
    assert done == []
    assert step(sitter, AgeTold(CHILD), 5.0, FOR_CHILDREN)[0].document == sitter.document


def told_by(session, standing=BoothStatus()):  # noqa: B008  a frozen value
    view = present_desk(INSIDE, session, BoothConfig((DOCUMENT,)), standing, 1.0, POST)
    return {line.name: (line.words, line.mark) for line in view.lines}


@pytest.mark.parametrize(
    ("off_cm", "stays", "words"),
    [
        (12, False, "The seat is 12 cm too low: raise it."),
        (-7, False, "The seat is 7 cm too high: lower it."),
        (12, True, "The camera is 12 cm too high for the sitter's eyes: move it."),
        (-7, True, "The camera is 7 cm too low for the sitter's eyes: move it."),
    ],
)
def test_the_attendant_is_told_by_how_much_the_seat_is_wrong(off_cm, stays, words):
    sitter = Session(state="align", document=DOCUMENT, advice=Advice(height_off_cm=off_cm), ease=Ease(seat_stays=stays))
    assert words in told_by(sitter)["Sitter"][0]
    assert words not in told_by(replace(sitter, state="review"))["Sitter"][0]


def test_a_camera_that_answers_may_yet_want_to_be_looked_at():
    low = "The camera's battery is at 20 %."
    assert told_by(IDLE)["Camera"] == ("It answers.", "good")
    assert told_by(IDLE, BoothStatus(camera_notices=(low,)))["Camera"] == (f"It answers. {low}", "look")
    assert told_by(IDLE, BoothStatus(camera="It is gone.", camera_notices=(low,)))["Camera"] == ("It is gone.", "bad")


def test_every_notice_of_the_camera_has_a_line():
    status = BoothStatus(camera_notices=("The battery is low.", "A stray picture.", "A dial was turned."))
    view = present_desk(INSIDE, IDLE, BoothConfig((DOCUMENT,)), status, 1.0, POST)
    assert [line.words for line in view.lines if line.name == "Camera"] == [
        "It answers. The battery is low.",
        "A stray picture.",
        "A dial was turned.",
    ]


def test_a_printer_that_prints_may_run_out_of_ribbon_before_long():
    low = "Ribbon of photo is at 2 %."
    assert told_by(IDLE)["Printer"] == ("No fault is known.", "good")
    assert told_by(IDLE, BoothStatus(printer_notice=low))["Printer"] == (f"No fault is known. {low}", "look")
    assert told_by(IDLE, BoothStatus(printer="It is gone.", printer_notice=low))["Printer"] == ("It is gone.", "bad")


def test_a_ledger_that_is_behind_is_told_in_words():
    assert told_by(IDLE)["Ledger"] == ("It is written.", "good")
    assert told_by(IDLE, BoothStatus(ledger="The disk is full."))["Ledger"] == ("The disk is full.", "bad")
