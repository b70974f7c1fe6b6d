"""What the steps of a session leave for the ledger, and that a session that began also ends."""

from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.base.measurement import Observation
from kiosk.core.judging.conformance import Judgement, judge
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.events import Failed, Measured, Mended, PrintMoved, Seen, ShotArrived, ShotFailed, Still, Tick
from kiosk.core.session.facts import (
    ConsentGiven,
    DocumentChosen,
    FaultBegan,
    FaultsMended,
    LanguageChosen,
    SessionBegan,
    SessionEnded,
    ShotJudged,
    ShotLost,
)
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.session.step_facts import facts_of
from kiosk.core.view.intent import Intent
from tests.support.sights import DOCUMENT, IN_TIME, STALE, conforming, seen, timely

HOUSE = BoothConfig((DOCUMENT,), languages=("en", "ar"), shots=3)
JUDGEMENT = judge(conforming(DOCUMENT), DOCUMENT)
GOOD = Still(JUDGEMENT, b"jpeg")
NOBODY = Still(Judgement(DOCUMENT.id, Observation(1600, 2000, 0), None, ()))
HOLDING = (Seen(seen()),) * 60
TO_ALIGN = (Intent("start"), Intent("choose", DOCUMENT.id), Intent("ready", "6"), Intent("agree"))


def facts(*events, apart_s=0.1):
    session, found = Session(), []
    for index, told in enumerate(events):
        event = timely(session, told)
        after, commands = step(session, event, index * apart_s, HOUSE)
        found += facts_of(session, event, after, commands)
        session = after
    return found


def measured(still, *before):
    """Return the events that measure a still."""
    return (*before, ShotArrived(IN_TIME, b"jpeg"), Measured(IN_TIME, still))


def test_a_sitter_who_prints_leaves_all_facts_in_order():
    found = facts(*measured(GOOD, *TO_ALIGN, *HOLDING), Intent("accept"), PrintMoved("done"), Intent("done"))
    words = tuple((finding.measurement.name, finding.word) for finding in JUDGEMENT.findings)
    assert found == [
        SessionBegan("en"),
        DocumentChosen(DOCUMENT.id),
        ConsentGiven(),
        ShotJudged(1, "pass", words),
        SessionEnded("printed"),
    ]


def test_a_language_chosen_at_welcome_is_the_sessions_own_and_a_later_one_a_change():
    found = facts(Intent("language", "ar"), Intent("start"), Intent("language", "en"), Intent("back"))
    assert found == [SessionBegan("ar"), LanguageChosen("en"), SessionEnded("abandoned")]


def test_a_still_without_a_face_and_a_lost_one_are_counted():
    found = facts(*measured(NOBODY, *TO_ALIGN, *HOLDING), *HOLDING, ShotFailed(IN_TIME))
    assert found[3:] == [ShotJudged(1, "unmeasurable"), ShotLost(2)]


def test_a_late_result_of_an_earlier_still_is_no_shot():
    found = facts(*TO_ALIGN, *HOLDING, ShotArrived(IN_TIME, b"jpeg"), Measured(STALE, GOOD))
    assert ConsentGiven() in found
    assert not [fact for fact in found if isinstance(fact, ShotJudged)]


def test_a_fault_ends_the_session_and_is_mended_once():
    failed = Failed("The camera does not answer.", "Check its cable.", "camera_fault")
    found = facts(*TO_ALIGN, failed, failed, Mended(), Tick())
    assert found[3:] == [
        FaultBegan("camera_fault"),
        SessionEnded("fault"),
        FaultBegan("camera_fault"),
        FaultsMended(),
    ]


EVENTS = st.sampled_from(
    [
        *TO_ALIGN,
        *(Intent(name) for name in ("back", "start_again", "retake", "accept", "done", "more_time")),
        *HOLDING[:1],
        ShotArrived(IN_TIME, b"jpeg"),
        ShotFailed(IN_TIME),
        PrintMoved("done"),
        Failed("", ""),
        Mended(),
        Tick(),
    ]
)


@settings(max_examples=300, deadline=None)
@given(st.lists(EVENTS, max_size=60), st.floats(0.0, 200.0))
def test_sessions_begin_and_end_in_turn_whatever_happens(events, apart_s):
    found = [fact for fact in facts(*events, apart_s=apart_s) if isinstance(fact, SessionBegan | SessionEnded)]
    assert all(isinstance(fact, SessionBegan) == (index % 2 == 0) for index, fact in enumerate(found))


@settings(max_examples=100, deadline=None)
@given(st.lists(EVENTS, max_size=60))
def test_no_fact_holds_anything_but_keys_words_and_counts(events):
    """Not one float, which a face point would be, and no bytes, which a picture would be."""
    told = repr(facts(*TO_ALIGN, *HOLDING, *events))
    assert "b'" not in told
    assert "." not in told.replace(DOCUMENT.id, "")
