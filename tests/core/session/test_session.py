"""The table of states, and a session's way through it without any device."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.base.ticket import Ticket
from kiosk.core.session.commands import Look, Measure, Print, Shoot, Wipe
from kiosk.core.session.events import (
    CallAnswered,
    Failed,
    Measured,
    Mended,
    Overridden,
    PrintMoved,
    Released,
    Seen,
    ShotArrived,
    ShotFailed,
    Tick,
)
from kiosk.core.session.state import NEXT, Session
from kiosk.core.session.step import step
from kiosk.core.view.intent import Intent
from tests.support.played import BAD, GOOD, HOLDING, HOUSE, NEARLY, TO_ALIGN, play, review, shot
from tests.support.sights import DOCUMENT, IN_TIME, STALE, seen, timely


def test_the_camera_looks_only_after_consent():
    session, commands = play(Session(), *TO_ALIGN[:3], *HOLDING)
    assert session.state == "privacy"
    assert commands == []
    session, commands = play(session, Intent("agree"), start_s=10.0)
    assert (session.state, commands) == ("align", [Look(True)])


def test_the_shutter_fires_by_itself_when_all_has_held():
    session, commands = shot()
    assert commands == [Look(True), Look(False), Shoot(Ticket(1))]
    assert session.shot == 1


def test_a_bad_still_is_taken_again_and_a_good_one_is_shown():
    session, _ = shot()
    session, commands = play(session, ShotArrived(IN_TIME, b"jpeg"), Measured(IN_TIME, BAD), start_s=20.0)
    assert commands == [Measure(Ticket(1), b"jpeg", DOCUMENT), Look(True)]
    assert session.state == "align"
    session, _ = play(session, *HOLDING, start_s=21.0)
    session, _ = play(session, ShotArrived(IN_TIME, b"jpeg"), Measured(IN_TIME, GOOD), start_s=30.0)
    assert (session.state, session.shot) == ("review", 2)


def test_after_the_last_shot_a_person_is_asked_and_nothing_is_printed():
    session, _ = shot()
    for attempt in range(HOUSE.shots):
        now_s = 20.0 * (attempt + 1)
        session, _ = play(session, ShotArrived(IN_TIME, b"jpeg"), Measured(IN_TIME, BAD), start_s=now_s)
        if session.state == "align":
            session, _ = play(session, *HOLDING, start_s=20.0 * (attempt + 1) + 1)
    assert (session.state, session.shot) == ("review", HOUSE.shots)
    session, commands = play(session, Intent("accept"), start_s=100.0)
    assert (session.state, commands) == ("review", [])
    session, _ = play(session, Intent("retake"), start_s=101.0)
    assert (session.state, session.shot) == ("align", 0)


def test_a_lost_shot_does_not_end_the_session():
    session, _ = shot()
    session, commands = play(session, ShotFailed(IN_TIME), start_s=20.0)
    assert (session.state, commands) == ("align", [Look(True)])


def test_the_sheet_is_printed_and_then_everything_is_wiped():
    session, commands = play(review(), Intent("accept"), PrintMoved("printing"), PrintMoved("done"), start_s=30.0)
    assert commands == [Print(Ticket(2), GOOD.judgement.plan, DOCUMENT), Wipe("printed")]
    assert (session.state, session.print_state) == ("collect", "done")
    assert session.still is None
    forgotten, commands = step(session, Tick(), 31.0 + HOUSE.idle_s["collect"], HOUSE)
    assert (forgotten.state, commands) == ("thanks", ())
    assert step(forgotten, Tick(), 200.0, HOUSE)[0].state == "welcome"
    session, _ = play(session, Intent("done"), start_s=40.0)
    assert (session.state, session.still) == ("thanks", None)
    session, _ = play(session, Intent("done"), start_s=41.0)
    assert (session.state, session.still, session.document) == ("welcome", None, None)


@pytest.mark.parametrize("state", ["choose", "privacy", "align", "review"])
def test_a_sitter_who_walks_away_leaves_nothing(state):
    session = replace(review(), state=state, active_s=100.0, still=GOOD if state == "review" else None)
    limit_s = HOUSE.idle_s[state]
    waiting, commands = step(session, Tick(), 100.0 + limit_s - 1, HOUSE)
    assert (waiting.state, commands) == (state, ())
    gone, commands = step(session, Tick(), 100.0 + limit_s + 1, HOUSE)
    assert gone.state == "welcome"
    assert gone.still is None
    assert any(isinstance(command, Wipe) for command in commands)


@pytest.mark.parametrize("state", ["shooting", "measuring", "printing"])
def test_a_device_that_never_answers_does_not_hold_the_booth(state):
    session = replace(review(), state=state, active_s=100.0)
    home, commands = step(session, Tick(), 101.0 + HOUSE.idle_s[state], HOUSE)
    assert (home.state, home.still) == ("welcome", None)
    assert Wipe("fault") in commands


def test_another_sitters_measurement_is_not_taken():
    session, _ = shot()
    session, _ = play(session, ShotArrived(IN_TIME, b"jpeg"), start_s=20.0)
    session, commands = play(session, Measured(STALE, GOOD), start_s=21.0)
    assert (session.state, session.still, commands) == ("measuring", None, [])


def test_a_tap_keeps_the_session_alive():
    session = replace(review(), active_s=100.0)
    session, _ = step(session, Intent("more_time"), 200.0, HOUSE)
    session, _ = step(session, Tick(), 200.0 + HOUSE.idle_s["review"] - 1, HOUSE)
    assert session.state == "review"


def test_a_fault_wipes_and_a_mended_booth_welcomes():
    down, commands = step(review(), Failed("It stopped.", "Call."), 50.0, HOUSE)
    assert (down.state, down.fault, down.still) == ("out_of_order", ("It stopped.", "Call."), None)
    assert commands == (Look(False), Wipe("fault"))
    up, _ = step(down, Mended(), 60.0, HOUSE)
    assert up.state == "welcome"


LOST = Failed("It is not known.", "Look in the tray.", "sheet_unknown")
JAMMED = Failed("It has jammed.", "Open it.", "printer_fault")
READ = Intent("done")


@pytest.mark.parametrize(("failed", "fate"), [(LOST, "sheet_unknown"), (JAMMED, "sheet_not_printed")])
def test_what_became_of_a_sheet_stays_until_it_is_read_whatever_the_devices_say_meanwhile(failed, fate):
    printing = Session(state="printing", document=DOCUMENT)
    told, _ = play(printing, failed, Mended(), Tick(), start_s=50.0, apart_s=400.0)
    assert (told.state, told.fate, told.fault[0]) == ("out_of_order", fate, failed.sentence)
    assert play(told, READ)[0].state == "welcome"
    shut, _ = play(told, Failed("No paper.", "Load some."), READ)
    assert (shut.state, shut.fate, shut.fault[0]) == ("out_of_order", None, "No paper.")
    read, _ = play(printing, failed, READ)
    assert (read.state, read.fault[0]) == ("out_of_order", failed.sentence)
    assert play(read, Mended())[0].state == "welcome"


@pytest.mark.parametrize("state", ["welcome", "align", "review"])
def test_a_printer_that_fails_before_there_is_a_sheet_leaves_nothing_to_read(state):
    told, _ = play(Session(state=state), JAMMED, READ)
    assert (told.state, told.fate) == ("out_of_order", None)
    assert play(told, Mended())[0].state == "welcome"


def test_the_language_stays_until_the_sitter_leaves():
    session, _ = play(Session(), Intent("language", "ar"), Intent("language", "xx"), *TO_ALIGN)
    assert session.language == "ar"


@pytest.mark.parametrize("state", NEXT)
def test_every_state_has_a_way_home(state):
    reached, frontier = {state}, [state]
    while frontier:
        for follower in NEXT[frontier.pop()]:
            if follower not in reached:
                reached.add(follower)
                frontier.append(follower)
    assert {"welcome", "out_of_order"} <= reached


def test_every_state_that_a_sitter_can_leave_unattended_ends_by_itself():
    """Nobody is in the booth at welcome, and out of order ends when the device answers."""
    assert HOUSE.idle_s.keys() == NEXT.keys() - {"welcome", "out_of_order"}


ATTENDED = replace(HOUSE, attended=True, release="attendant")


def test_an_attendant_passes_a_photo_that_failed_and_its_judgement_stays_as_it_was():
    failed = replace(review(), still=NEARLY)
    assert NEARLY.judgement.verdict == "fail"
    assert step(failed, Intent("accept"), 30.0, HOUSE)[1] == ()
    passed, commands = step(failed, Overridden("medical"), 31.0, HOUSE)
    assert (passed.state, commands) == ("review", ())
    assert passed.still.judgement is NEARLY.judgement
    _, commands = step(passed, Intent("accept"), 32.0, HOUSE)
    assert commands == (Print(Ticket(2), NEARLY.judgement.plan, DOCUMENT, passed_by_attendant=True),)


def test_a_new_shot_is_judged_anew_whatever_was_passed_before():
    passed, _ = step(replace(review(), still=NEARLY), Overridden("medical"), 31.0, HOUSE)
    again, _ = play(passed, Intent("retake"), *HOLDING, start_s=32.0)
    again, _ = play(again, ShotArrived(IN_TIME, b"jpeg"), Measured(IN_TIME, NEARLY), start_s=50.0)
    assert (again.state, again.still, again.judged.verdict) == ("align", None, "fail")


@pytest.mark.parametrize("state", ["align", "measuring", "release", "printing", "welcome"])
def test_a_photo_is_passed_only_while_it_is_under_review(state):
    session = replace(review(), state=state, still=NEARLY)
    after, commands = step(session, Overridden("infant"), 31.0, HOUSE)
    assert (after.still, commands) == (NEARLY, ())


def test_nobody_can_pass_a_photo_without_a_head():
    after, _ = step(replace(review(), still=BAD), Overridden("authority_agrees"), 31.0, HOUSE)
    assert after.still.override is None


def test_a_sheet_waits_until_the_attendant_releases_it():
    waiting, commands = step(review(), Intent("accept"), 30.0, ATTENDED)
    assert (waiting.state, commands) == ("release", ())
    for tap in ("accept", "done", "agree", "help"):
        assert step(waiting, Intent(tap), 31.0, ATTENDED)[0].state == "release"
    printing, commands = step(waiting, Released(), 32.0, ATTENDED)
    assert (printing.state, commands) == ("printing", (Print(Ticket(2), GOOD.judgement.plan, DOCUMENT),))


@pytest.mark.parametrize("state", [state for state in NEXT if state != "release"])
def test_a_release_that_nobody_waits_for_prints_nothing(state):
    session = replace(review(), state=state)
    assert step(session, Released(), 32.0, ATTENDED)[1] == ()


def test_who_calls_is_waited_for_until_the_attendant_comes():
    assert not step(review(), Intent("call"), 30.0, HOUSE)[0].called
    called, _ = step(review(), Intent("call"), 30.0, ATTENDED)
    assert called.called
    waiting, _ = step(called, Tick(), 30.0 + ATTENDED.called_s - 1, ATTENDED)
    assert waiting.state == "review"
    gone, _ = step(called, Tick(), 31.0 + ATTENDED.called_s, ATTENDED)
    assert (gone.state, gone.called) == ("welcome", False)
    answered, _ = step(called, CallAnswered(), 40.0, ATTENDED)
    assert (answered.state, answered.called) == ("review", False)


def test_a_call_from_the_welcome_screen_is_forgotten_when_nobody_comes():
    called, _ = step(Session(), Intent("call"), 30.0, ATTENDED)
    assert step(called, Tick(), 29.0 + ATTENDED.called_s, ATTENDED)[0].called
    assert not step(called, Tick(), 31.0 + ATTENDED.called_s, ATTENDED)[0].called


EVENTS = st.one_of(
    st.sampled_from(
        [
            *TO_ALIGN,
            Intent("back"),
            Intent("start_again"),
            Intent("retake"),
            Intent("accept"),
            Intent("done"),
            Intent("help"),
            Intent("call"),
            Overridden("head_covering"),
            Released(),
            CallAnswered(),
            Measured(IN_TIME, NEARLY),
            Intent("choose", "no-such-document"),
            Seen(seen()),
            Seen(seen(yaw=20.0)),
            ShotArrived(IN_TIME, b"jpeg"),
            ShotArrived(STALE, b"jpeg"),
            ShotFailed(IN_TIME),
            ShotFailed(STALE),
            Measured(STALE, GOOD),
            Measured(IN_TIME, GOOD),
            Measured(IN_TIME, BAD),
            PrintMoved("printing"),
            PrintMoved("done"),
            Failed("a", "b"),
            LOST,
            Mended(),
            Tick(),
        ]
    )
)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(EVENTS, st.sampled_from([0.03, 0.5, 1.2, 200.0])), max_size=60))
def test_any_story_stays_on_the_table_and_never_prints_unjudged_or_keeps_a_picture_at_welcome(story):
    tell(story, HOUSE)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(EVENTS, st.sampled_from([0.03, 0.5, 1.2, 200.0])), max_size=60))
def test_the_same_holds_where_an_attendant_releases(story):
    tell(story, ATTENDED)


def tell(story, config):
    session, now_s = Session(), 0.0
    for event, apart_s in story:
        now_s += apart_s
        after, commands = step(session, timely(session, event), now_s, config)
        assert after.state == session.state or after.state in NEXT[session.state]
        for command in commands:
            if isinstance(command, Print):
                assert session.still is GOOD or session.still.override == "head_covering"
                assert config.release == "free" or isinstance(event, Released)
        if after.state in ("welcome", "out_of_order"):
            assert after.still is None
        left = session.state in ("align", "shooting", "measuring", "review", "release", "printing", "unprinted")
        if left and after.state in ("welcome", "out_of_order", "collect"):
            assert any(isinstance(command, Wipe) for command in commands)
        session = after


@pytest.mark.parametrize(
    ("age", "asked"),
    [("0", set()), ("1", {"eyes_open"}), ("6", {"eyes_open", "mouth_closed", "expression_neutrality"})],
)
def test_less_is_asked_of_children_where_the_rules_say_so(age, asked):
    """GOV.UK as quoted in the document's file: under 6 no plain expression, under 1 the eyes may be closed."""
    session, _ = play(Session(), *TO_ALIGN[:2], Intent("ready", age), Intent("agree"))
    assert session.document.capture.keys() & {"eyes_open", "mouth_closed", "expression_neutrality"} == asked
    back, _ = play(Session(), *TO_ALIGN[:2], Intent("ready", age), Intent("back"), Intent("ready", "6"))
    assert back.document == DOCUMENT, "an age can be put right"


def test_an_age_that_the_rules_do_not_name_changes_nothing():
    session, _ = play(Session(), *TO_ALIGN[:2], Intent("ready", "3"))
    assert session.state == "prepare"


def test_no_still_of_a_sitter_who_left_is_the_next_ones():
    """The shot was under way when its sitter left, and comes when the next one's is waited for; or it fails then."""
    gone, commands = shot()
    late = commands[-1].ticket
    left, _ = play(gone, Intent("start_again"), start_s=20.0)
    session, commands = play(left, *TO_ALIGN, *HOLDING, start_s=30.0)
    (order,) = (command for command in commands if isinstance(command, Shoot))
    assert (session.state, order.ticket) == ("shooting", late.following)
    for event in (ShotArrived(late, b"another's"), ShotFailed(late), Measured(late, GOOD)):
        assert step(session, event, 40.0, HOUSE) == (session, ())
    session, commands = play(session, ShotArrived(order.ticket, b"mine"), start_s=41.0)
    assert commands == [Measure(order.ticket, b"mine", DOCUMENT)]


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(EVENTS, st.sampled_from([0.03, 0.5, 1.2, 200.0])), max_size=60))
def test_no_ticket_is_given_out_twice(story):
    session, now_s, given_out = Session(), 0.0, []
    for event, apart_s in story:
        now_s += apart_s
        session, commands = step(session, timely(session, event), now_s, HOUSE)
        given_out += [command.ticket for command in commands if isinstance(command, Shoot | Print)]
    assert given_out == sorted(set(given_out), key=lambda ticket: ticket.number)
