"""A photo that stays doubtful: whose decision it is, what is printed so, and that the best one is not lost."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.attendant.presenter import present_desk
from kiosk.core.attendant.state import Desk, DeskConfig
from kiosk.core.attendant.status_lines import BoothStatus
from kiosk.core.attendant.step import why_no_override
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.base.ticket import Ticket
from kiosk.core.judging.conformance import Judgement, judge
from kiosk.core.judging.framing import framing
from kiosk.core.judging.override import unprintable
from kiosk.core.session.booth_config import BoothConfig, Reception
from kiosk.core.session.commands import Drop, Look, Measure, Print, Wipe
from kiosk.core.session.events import (
    AgeTold,
    Failed,
    Measured,
    Mended,
    Overridden,
    PrintMoved,
    Released,
    Seen,
    ShotArrived,
    ShotFailed,
    Still,
    Tick,
)
from kiosk.core.session.facts import ShotJudged
from kiosk.core.session.presenter import present
from kiosk.core.session.state import Session, kept_stills
from kiosk.core.session.step import step
from kiosk.core.session.step_facts import facts_of
from kiosk.core.view.choice import Guest
from kiosk.core.view.intent import Intent
from tests.support.sights import DOCUMENT, IN_TIME, conforming, seen, timely

HOUSE = BoothConfig((DOCUMENT,), shots=3, doubt="sitter")
ATTENDED = replace(HOUSE, doubt="attendant", attended=True)
EVENT = replace(HOUSE, documents=(), reception=Reception(DOCUMENT, date(2027, 1, 31)))
SHUT = Measurement("eyes_open", 0.0, "ratio")


HOLDING = (Seen(seen()),) * 60


def unknown(*names: str) -> dict[str, Measurement]:
    """Return measurements that could not be made: whatever the limits, they stay doubtful."""
    return {name: Measurement(name, None, DOCUMENT.capture[name].unit) for name in names}


def still(photo: bytes, **changes: Measurement) -> Still:
    return Still(judge(conforming(DOCUMENT, **changes), DOCUMENT), photo)


def outside(judgement: Judgement) -> Judgement:
    """Return the judgement on a head that lies so near the picture's edge that the frame reaches over it."""
    room = Measurement("frame_room", -0.05, "mm", 0.5)
    plan = replace(judgement.plan, measurements={**judgement.plan.measurements, "frame_room": room})
    words = [
        replace(each, word="refer") if each.measurement.name == "frame_room" else each for each in judgement.findings
    ]
    return replace(judgement, plan=plan, findings=tuple(words))


GOOD = still(b"good")
DOUBTFUL = still(b"doubtful", **unknown("eyes_open"))
WORSE = still(b"worse", **unknown("eyes_open", "sharpness"))
FAILED = still(b"failed", eyes_open=SHUT)
BOTH = still(b"both", eyes_open=SHUT, **unknown("sharpness"))
NOBODY = Still(Judgement(DOCUMENT.id, Observation(1600, 2000, 0), None, ()))
OUTSIDE = Still(outside(DOUBTFUL.judgement), b"outside")
REVIEW = Session(state="review", document=DOCUMENT, where=framing(DOCUMENT, 1600, 2000), still=DOUBTFUL, shot=3)


def shot(session, found, now_s, config=HOUSE):
    """Hold still, have one photo taken and measured; return the session, all commands, and the facts."""
    events = [(now_s + 0.1 * index, each) for index, each in enumerate(HOLDING)]
    events += [(now_s + 7.0, ShotArrived(IN_TIME, found.photo_jpeg)), (now_s + 8.0, Measured(IN_TIME, found))]
    commands, facts = [], []
    for at_s, event in events:
        after, new = step(session, timely(session, event), at_s, config)
        facts += facts_of(session, event, after, new)
        commands += new
        session = after
    return session, commands, facts


def shots(*found, config=HOUSE, session=None):
    """Have one photo after another taken from `align`; return the session, all commands, and the facts."""
    session = session or replace(REVIEW, state="align", still=None, shot=0)
    commands, facts = [], []
    for index, each in enumerate(found, start=1):
        session, new, told = shot(session, each, 20.0 * index, config)
        commands += new
        facts += told
    return session, commands, facts


def offered(session, config=HOUSE):
    return present(session, config, 1.0, simulated=False, copies=8, paper="10x15cm").review.sitter_decides


def test_the_made_up_stills_are_what_they_are_called():
    judged = (GOOD, DOUBTFUL, WORSE, FAILED, BOTH, NOBODY, OUTSIDE)
    verdicts = [each.judgement.verdict for each in judged]
    assert verdicts == ["pass", "refer", "refer", "fail", "fail", "unmeasurable", "refer"]
    assert [bool(unprintable(each.judgement)) for each in judged] == [False] * 5 + [True] * 2


def test_the_sitter_has_a_doubtful_photo_printed_and_the_sheet_is_told_what_is_not_certain():
    assert offered(REVIEW)
    assert step(REVIEW, Intent("accept"), 30.0, HOUSE)[1] == (), "the usual button does not say what is doubtful"
    printing, commands = step(REVIEW, Intent("accept_doubt"), 30.0, HOUSE)
    assert commands == (Print(Ticket(1), DOUBTFUL.judgement.plan, DOCUMENT, not_certain=("eyes_open",)),)
    assert printing.still.judgement is DOUBTFUL.judgement, "the judgement stays as it was"


@pytest.mark.parametrize("found", [GOOD, FAILED, BOTH, NOBODY, OUTSIDE])
def test_nothing_but_doubt_is_the_sitters_to_decide(found):
    session = replace(REVIEW, still=found)
    assert not offered(session)
    after, commands = step(session, Intent("accept_doubt"), 30.0, HOUSE)
    assert (replace(after, active_s=0.0), commands) == (session, ())


@pytest.mark.parametrize(
    ("session", "config"), [(REVIEW, ATTENDED), (replace(REVIEW, guest=Guest("G1", "Ana Öz")), EVENT)]
)
def test_the_sitter_does_not_decide_where_an_attendant_does_or_a_badge_is_made(session, config):
    assert not offered(session, config)
    after, commands = step(session, Intent("accept_doubt"), 30.0, config)
    assert (replace(after, active_s=0.0), commands) == (session, ())


def test_what_was_accepted_is_taken_back_by_going_back():
    config = replace(HOUSE, sheets=(1, 2))
    choosing, commands = step(REVIEW, Intent("accept_doubt"), 30.0, config)
    assert (choosing.state, commands) == ("copies", ())
    back, _ = step(choosing, Intent("back"), 31.0, config)
    assert (back.state, back.still.passed) == ("review", False)
    assert step(back, Intent("accept"), 32.0, config)[1] == ()
    again, _ = step(back, Intent("accept_doubt"), 33.0, config)
    _, (sheet,) = step(again, Intent("print"), 34.0, config)
    assert sheet.not_certain == ("eyes_open",)


def test_an_attendant_may_still_pass_it_and_then_the_sheet_says_that_alone():
    assert why_no_override(REVIEW) == ""
    passed, _ = step(REVIEW, Overridden("measured_by_hand"), 30.0, HOUSE)
    assert not offered(passed)
    assert step(passed, Intent("accept_doubt"), 31.0, HOUSE)[1] == ()
    _, (sheet,) = step(passed, Intent("accept"), 32.0, HOUSE)
    assert (sheet.passed_by_attendant, sheet.not_certain) == (True, ())


def test_the_attendant_who_releases_it_reads_what_is_not_certain():
    waiting, _ = step(REVIEW, Intent("accept_doubt"), 30.0, replace(HOUSE, release="attendant", attended=True))
    assert waiting.state == "release"
    told = present_desk(Desk(page="state"), waiting, HOUSE, BoothStatus(), 31.0, DeskConfig(True))
    (line,) = [line.words for line in told.lines if line.name == "Sitter"]
    assert "The sitter accepts it as not certain: eyes open." in line


def test_the_best_doubtful_photo_is_shown_whatever_came_after_it():
    session, commands, facts = shots(DOUBTFUL, WORSE, FAILED)
    assert session.state == "review"
    assert (session.still.photo_jpeg, session.still.number) == (b"doubtful", 1)
    assert [each.number for each in commands if isinstance(each, Measure)] == [1, 2, 2]
    assert [each for each in commands if isinstance(each, Drop)] == [Drop(2), Drop(2)]
    assert [each.keeps for each in commands if isinstance(each, Look) and each.on] == [(1,), (1,)]
    verdicts = [(fact.number, fact.verdict) for fact in facts if isinstance(fact, ShotJudged)]
    assert verdicts == [(1, "refer"), (2, "refer"), (3, "fail")], "each shot is counted as it was judged"


def test_a_better_doubtful_photo_takes_the_place_of_the_one_before():
    session, commands, _ = shots(FAILED, WORSE, DOUBTFUL)
    assert (session.still.photo_jpeg, session.still.number) == (b"doubtful", 2)
    assert [each for each in commands if isinstance(each, Drop)] == [Drop(1)]


def test_the_stills_of_a_burst_do_not_take_the_kept_ones_number():
    config = replace(HOUSE, burst=3)
    session, _ = step(replace(REVIEW, still=replace(DOUBTFUL, number=2)), Intent("retake"), 10.0, config)
    now_s = 11.0
    while session.state == "align":
        now_s += 0.1
        session, _ = step(session, Seen(seen()), now_s, config)
    for jpeg in (b"1", b"2", b"3"):
        now_s += 0.5
        session, _ = step(session, timely(session, ShotArrived(IN_TIME, jpeg)), now_s, config)
    waiting = dict(session.burst.waiting)
    assert list(waiting.values()) == [3, 4, 5]
    commands = []
    for ticket, found in zip(waiting, (FAILED, WORSE, NOBODY), strict=True):
        session, new = step(session, Measured(ticket, found), 30.0, config)
        commands += new
    assert (session.state, session.still.number, session.judged.verdict) == ("align", 2, "refer")
    assert commands == [Drop(3), Drop(5), Drop(4), Look(True, keeps=(2,))]


def test_a_pass_is_shown_at_once_and_the_doubtful_photo_is_dropped():
    session, commands, _ = shots(DOUBTFUL, GOOD)
    assert (session.state, session.still.judgement.verdict) == ("review", "pass")
    assert Drop(1) in commands


def test_another_try_that_is_no_better_brings_the_doubtful_photo_back():
    again, commands = step(REVIEW, Intent("retake"), 10.0, HOUSE)
    assert (again.state, again.shot, commands) == ("align", 0, (Look(True, keeps=(1,)),))
    assert not again.still.passed
    session, _, _ = shots(FAILED, NOBODY, OUTSIDE, session=again)
    assert (session.state, session.still.photo_jpeg) == ("review", b"doubtful")
    assert offered(session)
    better, _, _ = shots(GOOD, session=again)
    assert better.still.photo_jpeg == b"good"


def test_the_coach_tells_of_the_last_shot_and_not_of_the_one_that_is_kept():
    session, _, _ = shots(DOUBTFUL, BOTH)
    view = present(session, HOUSE, 50.0, simulated=False, copies=8, paper="10x15cm")
    assert (view.state, view.review.verdict, view.review.reasons) == ("align", "fail", ("eyes_open", "sharpness"))


def test_who_gives_up_another_try_still_has_the_doubtful_photo():
    again, _ = step(REVIEW, Intent("retake"), 10.0, HOUSE)
    back, commands = step(again, Tick(), 11.0 + HOUSE.idle_s["align"], HOUSE)
    assert (back.state, back.still.photo_jpeg, commands) == ("review", b"doubtful", (Look(False),))
    home, commands = step(back, Tick(), 500.0, HOUSE)
    assert (home.state, home.still) == ("welcome", None)
    assert Wipe("abandoned") in commands


def test_another_try_after_a_pass_cannot_lose_the_photo_that_passed():
    """Whoever does not like a photo takes another; if that one fails, the first can still be printed."""
    again, commands = step(replace(REVIEW, still=replace(GOOD, number=1)), Intent("retake"), 10.0, HOUSE)
    assert (again.state, commands) == ("align", (Look(True, keeps=(1,)),))
    session, commands, _ = shots(DOUBTFUL, NOBODY, OUTSIDE, session=again)
    assert (session.state, session.still.photo_jpeg) == ("review", b"good")
    assert Drop(1) not in commands
    printing, _ = step(session, Intent("accept"), 90.0, HOUSE)
    assert printing.state == "printing"
    newer, commands, _ = shots(replace(GOOD, photo_jpeg=b"newer"), session=again)
    assert (newer.still.photo_jpeg, newer.other.photo_jpeg) == (b"newer", b"good")
    assert Drop(1) not in commands
    waited, commands = step(again, Tick(), 11.0 + HOUSE.idle_s["align"], HOUSE)
    assert (waited.state, waited.still.photo_jpeg, commands) == ("review", b"good", (Look(False),))


def test_two_photos_that_passed_stand_side_by_side_and_the_better_measured_is_marked():
    again, _ = step(replace(REVIEW, still=replace(GOOD, number=1)), Intent("retake"), 10.0, HOUSE)
    worse = Still(judge(conforming(DOCUMENT, yaw=Measurement("yaw", 4.0, "deg", 1.0)), DOCUMENT), b"worse")
    both, _, _ = shots(worse, session=again)
    view = present(both, HOUSE, 50.0, simulated=False, copies=8, paper="10x15cm").review
    assert [(each.jpeg, each.is_chosen, each.is_best) for each in view.photos] == [
        (b"good", False, True),
        (b"worse", True, False),
    ]
    picked, commands = step(both, Intent("pick", "1"), 60.0, HOUSE)
    assert (picked.still.photo_jpeg, picked.other.photo_jpeg, commands) == (b"good", b"worse", ())
    assert step(picked, Intent("pick", "1"), 61.0, HOUSE)[0].still == picked.still
    printing, _ = step(picked, Intent("accept"), 62.0, HOUSE)
    assert printing.still.number == 1
    third, (look,) = step(picked, Intent("retake"), 62.0, HOUSE)
    assert look.keeps == tuple(sorted((picked.still.number, picked.other.number)))
    new, commands, _ = shots(replace(GOOD, photo_jpeg=b"third"), session=third)
    assert (new.still.photo_jpeg, new.other.photo_jpeg) == (b"third", b"good")
    assert Drop(picked.other.number) in commands


@pytest.mark.parametrize("found", [FAILED, NOBODY, OUTSIDE])
def test_no_other_photo_outlasts_another_try(found):
    again, commands = step(replace(REVIEW, still=found), Intent("retake"), 10.0, HOUSE)
    assert (again.still, commands) == (None, (Look(True),))


def test_with_an_attendant_the_last_shot_is_shown_as_before():
    session, _, _ = shots(DOUBTFUL, WORSE, FAILED, config=ATTENDED)
    assert session.still.photo_jpeg == b"failed"


def test_rules_for_another_age_leave_no_doubtful_photo():
    after, commands = step(REVIEW, AgeTold(DOCUMENT.ages[0]), 10.0, HOUSE)
    assert (after.still, after.judged, commands) == (None, None, (Look(True),))


SHOTS = st.sampled_from([GOOD, DOUBTFUL, WORSE, FAILED, BOTH, NOBODY, OUTSIDE])
TAPS = [
    *(Intent("pick", number) for number in "123"),
    *(Intent(name) for name in ("retake", "accept", "accept_doubt", "print", "back")),
]
ACTS = st.one_of(
    SHOTS,
    *(st.sampled_from(TAPS),) * 4,
    st.sampled_from(
        [
            *(Intent(name) for name in ("start", "agree", "done", "start_again", "call")),
            Intent("choose", DOCUMENT.id),
            Intent("ready", "6"),
            Intent("sheets", "2"),
            Overridden("other"),
            Released(),
            AgeTold(6),
            ShotFailed(IN_TIME),
            PrintMoved("done"),
            Failed("", ""),
            Mended(),
            Tick(),
        ]
    ),
)
HOUSES = st.builds(
    lambda doubt, release, sheets: replace(HOUSE, doubt=doubt, release=release, sheets=sheets, attended=True, shots=2),
    st.sampled_from(["sitter", "sitter", "attendant"]),
    st.sampled_from(["free", "attendant"]),
    st.sampled_from([(1,), (1, 2)]),
)


class Folder:
    """The session's files as its commands leave them, by number."""

    def __init__(self, files):
        self.files = files

    def do(self, commands):
        for command in commands:
            match command:
                case Measure(jpeg=jpeg, number=number):
                    self.files[number] = jpeg
                case Drop(number):
                    del self.files[number]
                case Look(True, keeps=keeps):
                    self.files = {number: jpeg for number, jpeg in self.files.items() if number in keeps}
                case Wipe():
                    self.files = {}


@settings(max_examples=300, deadline=None)
@given(HOUSES, SHOTS, st.lists(st.tuples(ACTS, st.sampled_from([0.1] * 9 + [400.0])), min_size=6, max_size=20))
def test_in_any_story_what_failed_is_never_printed_and_the_shown_photo_is_the_kept_file(config, first, story):
    session, folder, now_s = replace(REVIEW, still=first), Folder({1: first.photo_jpeg}), 0.0
    for act, apart_s in story:
        now_s += apart_s
        events = [act]
        if isinstance(act, Still) and session.state == "align":
            events = [*HOLDING, ShotArrived(IN_TIME, act.photo_jpeg), act]
        for event in events:
            now_s += 0.1
            happened = timely(session, Measured(IN_TIME, event) if isinstance(event, Still) else event)
            after, commands = step(session, happened, now_s, config)
            folder.do(commands)
            for sheet in (command for command in commands if isinstance(command, Print)):
                _may_be_printed(sheet, after.still, config)
            if after.state in ("review", "copies", "release", "printing"):
                assert after.still is not None
            if after.state in ("align", "review", "copies", "release", "printing"):
                assert folder.files == {still.number: still.photo_jpeg for still in kept_stills(after)}
            if after.state in ("welcome", "out_of_order"):
                assert (kept_stills(after), after.last_photo, folder.files) == ((), b"", {})
            session = after


def _may_be_printed(sheet, photo, config):
    """Check what a sheet says against the judgement, by the words of its findings alone."""
    words = {finding.measurement.name: finding.word for finding in photo.judgement.findings}
    doubtful = {name for name, word in words.items() if word in ("refer", "unmeasured")}
    if sheet.passed_by_attendant:
        assert photo.override == "other"
        return
    assert "fail" not in words.values()
    assert set(sheet.not_certain) == doubtful
    assert not doubtful or (config.doubt == "sitter" and not unprintable(photo.judgement))
