"""The table of states, and a session's way through it without any device."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.conformance import Judgement, judge
from kiosk.core.events import (
    Failed,
    Look,
    Measure,
    Measured,
    Mended,
    Print,
    PrintMoved,
    Seen,
    Shoot,
    ShotArrived,
    ShotFailed,
    Still,
    Tick,
    Wipe,
)
from kiosk.core.measurement import Observation
from kiosk.core.session import NEXT, House, Session, step
from kiosk.core.view import Intent
from tests.core.sights import DOCUMENT, conforming, seen

HOUSE = House((DOCUMENT,), languages=("en", "ar"), shots=3)
GOOD = Still(judge(conforming(DOCUMENT), DOCUMENT), b"jpeg")
BAD = Still(Judgement(DOCUMENT.id, Observation(1600, 2000, 0), None, ()))


def play(session: Session, *events, start_s=0.0, apart_s=0.1):
    """Feed events; return the session and all commands."""
    commands = []
    for index, event in enumerate(events):
        session, new = step(session, event, start_s + index * apart_s, HOUSE)
        commands += new
    return session, commands


TO_ALIGN = (Intent("start"), Intent("choose", DOCUMENT.id), Intent("agree"))
HOLDING = (Seen(seen()),) * 60


def shot(start_s=0.0):
    session, commands = play(Session(), *TO_ALIGN, *HOLDING, start_s=start_s)
    assert session.state == "shooting"
    return session, commands


def test_the_camera_looks_only_after_consent():
    session, commands = play(Session(), *TO_ALIGN[:2], *HOLDING)
    assert session.state == "privacy"
    assert commands == []
    session, commands = play(session, Intent("agree"), start_s=10.0)
    assert (session.state, commands) == ("align", [Look(True)])


def test_the_shutter_fires_by_itself_when_all_has_held():
    session, commands = shot()
    assert commands == [Look(True), Look(False), Shoot()]
    assert session.shot == 1


def test_a_bad_still_is_taken_again_and_a_good_one_is_shown():
    session, _ = shot()
    session, commands = play(session, ShotArrived(b"jpeg"), Measured(20.0, BAD), start_s=20.0)
    assert commands == [Measure(20.0, b"jpeg", DOCUMENT), Look(True)]
    assert session.state == "align"
    session, _ = play(session, *HOLDING, start_s=21.0)
    session, _ = play(session, ShotArrived(b"jpeg"), Measured(30.0, GOOD), start_s=30.0)
    assert (session.state, session.shot) == ("review", 2)


def test_after_the_last_shot_a_person_is_asked_and_nothing_is_printed():
    session, _ = shot()
    for attempt in range(HOUSE.shots):
        now_s = 20.0 * (attempt + 1)
        session, _ = play(session, ShotArrived(b"jpeg"), Measured(now_s, BAD), start_s=now_s)
        if session.state == "align":
            session, _ = play(session, *HOLDING, start_s=20.0 * (attempt + 1) + 1)
    assert (session.state, session.shot) == ("review", HOUSE.shots)
    session, commands = play(session, Intent("accept"), start_s=100.0)
    assert (session.state, commands) == ("review", [])
    session, _ = play(session, Intent("retake"), start_s=101.0)
    assert (session.state, session.shot) == ("align", 0)


def test_a_lost_shot_does_not_end_the_session():
    session, _ = shot()
    session, commands = play(session, ShotFailed(), start_s=20.0)
    assert (session.state, commands) == ("align", [Look(True)])


def review() -> Session:
    session, _ = shot()
    session, _ = play(session, ShotArrived(b"jpeg"), Measured(20.0, GOOD), start_s=20.0)
    return session


def test_the_sheet_is_printed_and_then_everything_is_wiped():
    session, commands = play(review(), Intent("accept"), PrintMoved("printing"), PrintMoved("done"), start_s=30.0)
    assert commands == [Print(30.0, GOOD.judgement.plan, DOCUMENT), Wipe("printed")]
    assert (session.state, session.print_state) == ("collect", "done")
    assert session.still is None
    forgotten, commands = step(session, Tick(), 31.0 + HOUSE.idle_s["collect"], HOUSE)
    assert (forgotten.state, commands) == ("welcome", ())
    session, _ = play(session, Intent("done"), start_s=40.0)
    assert (session.state, session.still, session.document) == ("welcome", None, None)


@pytest.mark.parametrize("state", ["choose", "privacy", "align", "review"])
def test_a_sitter_who_walks_away_leaves_nothing(state):
    session = replace(review(), state=state, active_s=100.0)
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
    session, _ = play(session, ShotArrived(b"jpeg"), start_s=20.0)
    session, commands = play(session, Measured(19.0, GOOD), start_s=21.0)
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


STALE, IN_TIME = -1.0, -2.0
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
            Intent("choose", "no-such-document"),
            Seen(seen()),
            Seen(seen(yaw=20.0)),
            ShotArrived(b"jpeg"),
            ShotFailed(),
            Measured(STALE, GOOD),
            Measured(IN_TIME, GOOD),
            Measured(IN_TIME, BAD),
            PrintMoved("printing"),
            PrintMoved("done"),
            Failed("a", "b"),
            Mended(),
            Tick(),
        ]
    )
)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(EVENTS, st.sampled_from([0.03, 0.5, 1.2, 200.0])), max_size=60))
def test_any_story_stays_on_the_table_and_never_prints_unjudged_or_keeps_a_picture_at_welcome(story):
    session, now_s = Session(), 0.0
    for event, apart_s in story:
        now_s += apart_s
        in_time = isinstance(event, Measured) and event.ticket == IN_TIME
        happened = replace(event, ticket=session.since_s) if in_time else event
        after, commands = step(session, happened, now_s, HOUSE)
        assert after.state == session.state or after.state in NEXT[session.state]
        for command in commands:
            if isinstance(command, Print):
                assert session.still is GOOD
        if after.state in ("welcome", "out_of_order"):
            assert after.still is None
        left = session.state in ("align", "shooting", "measuring", "review", "printing")
        if left and after.state in ("welcome", "out_of_order", "collect"):
            assert any(isinstance(command, Wipe) for command in commands)
        session = after
