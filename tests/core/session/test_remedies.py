"""A photo that failed: every reason has something to do about it, said before the next shot, and a second step."""

from dataclasses import replace

import pytest

from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.judging.conformance import Judgement, judge
from kiosk.core.judging.framing import framing
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.coach import REMEDY_S
from kiosk.core.session.events import Measured, Seen, ShotArrived, Still
from kiosk.core.session.instructions import Instruction
from kiosk.core.session.presenter import present
from kiosk.core.session.remedies import REMEDIES, remedy
from kiosk.core.session.state import Session, align
from kiosk.core.session.step import step
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.sitter.align import instruction_text
from kiosk.screens.spoken import KEYS, spoken
from tests.support.played import play, shot
from tests.support.shipped import CATALOGUE
from tests.support.sights import DOCUMENT, IN_TIME, conforming, seen, timely

HOUSE = BoothConfig((DOCUMENT,), shots=4)
GLARE = Measurement("lens_glare", 0.4, "fraction")
BLUR = Measurement("sharpness", 0.01, "ratio")
WORDS = Words.load("en")


def view_of(session: Session, now_s: float) -> SessionView:
    return present(session, HOUSE, now_s, simulated=False, copies=1, paper="a6")


def failed_shot(session: Session, now_s: float, **changes: Measurement) -> Session:
    """Return the session after a shot of a sitter who holds still, which is judged with these changes."""
    while session.state == "align":
        now_s += 0.1
        session, _ = step(session, Seen(seen()), now_s, HOUSE)
    session, _ = step(session, timely(session, ShotArrived(IN_TIME, b"")), now_s + 0.5, HOUSE)
    still = Still(judge(conforming(DOCUMENT, **changes), DOCUMENT), b"photo")
    return step(session, timely(session, Measured(IN_TIME, still)), now_s + 1.0, HOUSE)[0]


@pytest.fixture
def seated() -> Session:
    session = Session(state="privacy", document=DOCUMENT, where=framing(DOCUMENT, *HOUSE.still_px))
    return align(session, 0.0, HOUSE)[0]


@pytest.mark.parametrize("document", CATALOGUE.all(), ids=lambda document: document.id)
def test_every_requirement_that_can_fail_has_a_remedy_that_is_said(document):
    for each in (document, *(document.for_age(age) for age in document.ages)):
        judged = judge(conforming(each), each)
        names = {finding.measurement.name for finding in judged.findings if finding.word != "advise"}
        assert names <= REMEDIES.keys()
    for instruction in REMEDIES.values():
        assert {f"instruction.{instruction}", f"again.{instruction}"} <= set(KEYS), instruction


@pytest.mark.parametrize("name", REMEDIES)
def test_every_requirement_that_has_a_remedy_has_a_name_and_a_reason(name):
    """The other languages have the keys of English (`tests/test_i18n.py`)."""
    assert WORDS.has(f"requirement.{name}")
    assert WORDS.has(f"reason.{name}")


def test_a_photo_without_a_face_asks_for_a_look_and_one_that_passed_for_nothing():
    assert remedy(Judgement(DOCUMENT.id, Observation(1600, 2000, 0), None, ()), ()) is Instruction.LOOK_AT_LENS
    assert remedy(judge(conforming(DOCUMENT), DOCUMENT), ()) is None
    assert remedy(None, ()) is None


def test_after_a_failed_shot_the_sitter_hears_what_to_do_and_not_hold_still(seated):
    session = failed_shot(seated, 0.0, lens_glare=GLARE)
    assert session.state == "align"
    began_s = now_s = session.since_s
    heard = []
    while session.state == "align":
        now_s += 0.1
        session, _ = step(session, Seen(seen()), now_s, HOUSE)
        view = view_of(session, now_s)
        heard.append((round(now_s - began_s, 1), instruction_text(WORDS, view), spoken(view)))
    assert heard[0][1:] == ("Tip the glasses down a little", "instruction.tip_glasses")
    later = [key for second, _, key in heard if second > REMEDY_S + 0.3]
    assert set(later[:-1]) == {"instruction.hold_still"}
    assert not any(advised < REMEDY_S for advised, _, key in heard if key == "instruction.hold_still")


def test_the_second_failure_for_one_reason_stops_and_offers_the_next_step_and_help(seated):
    once = failed_shot(seated, 0.0, lens_glare=GLARE)
    twice = failed_shot(once, 20.0, lens_glare=GLARE, sharpness=BLUR)
    assert (twice.state, twice.shot) == ("review", 2)
    view = view_of(twice, 30.0)
    assert view.review.reasons[0] == "lens_glare"
    assert spoken(view) == "again.tip_glasses"
    again, _ = step(twice, Intent("retake"), 31.0, HOUSE)
    again, _ = step(again, Seen(seen()), 31.1, HOUSE)
    assert instruction_text(WORDS, view_of(again, 31.1)) == "Take the glasses off for the photo"


def test_failures_for_different_reasons_go_on(seated):
    once = failed_shot(seated, 0.0, lens_glare=GLARE)
    twice = failed_shot(once, 20.0, sharpness=BLUR)
    assert twice.state == "align"
    assert twice.advice.remedy is Instruction.KEEP_STILL


def test_a_seat_that_is_left_goes_before_the_remedy(seated):
    session = failed_shot(seated, 0.0, lens_glare=GLARE)
    now_s = session.since_s
    for _ in range(20):
        now_s += 0.1
        session, _ = step(session, Seen(Observation(640, 800, 0)), now_s, HOUSE)
    assert session.advice.instruction is Instruction.SIT_DOWN


def test_a_carer_reads_the_remedy_too(seated):
    session = failed_shot(replace(seated, care="child"), 0.0, lens_glare=GLARE)
    session, _ = step(session, Seen(seen()), session.since_s + 0.1, HOUSE)
    assert instruction_text(WORDS, view_of(session, session.since_s + 0.2)) == "Tip the glasses down a little"


def test_a_shot_that_failed_is_shown_with_its_remedy_for_a_moment_and_then_let_go():
    """The sitter sees the photo, why it did not pass and what mends it; then the live picture is back."""
    glare = Measurement("lens_glare", 0.9, "fraction")
    failed = Still(judge(conforming(DOCUMENT, lens_glare=glare), DOCUMENT), b"shining")
    session, _ = shot()
    session, _ = play(session, ShotArrived(IN_TIME, b"jpeg"), Measured(IN_TIME, failed), Seen(seen()), start_s=20.0)
    shown = present(session, HOUSE, 20.5, simulated=False, copies=1, paper="a6")
    assert (shown.state, shown.align.shows_retake, shown.review.photo_jpeg) == ("align", True, b"shining")
    assert (shown.review.reasons[0], shown.align.instruction) == ("lens_glare", "tip_glasses")
    later, _ = play(session, *(Seen(seen()),) * 40, start_s=21.0)
    assert not present(later, HOUSE, 25.0, simulated=False, copies=1, paper="a6").align.shows_retake
    left, _ = play(later, Intent("start_again"), start_s=26.0)
    assert left.last_photo == b""
