"""What a sitter reads while the camera lets them wait: nothing that asks for what they cannot do."""

from dataclasses import replace

from kiosk.core.session.coach import Advice, Instruction
from kiosk.core.session.presenter import present
from kiosk.core.session.state import Session
from kiosk.i18n import Words
from kiosk.screens.sitter.align import instruction_text
from kiosk.screens.spoken import spoken
from tests.support.played import HOUSE
from tests.support.sights import DOCUMENT, WHERE

ENGLISH = Words.load("en")


def words_at(session, now_s):
    """Return what the screen says, which the voice says too."""
    view = present(session, HOUSE, now_s, simulated=False, copies=1, paper="a6")
    said = instruction_text(ENGLISH, view)
    if session.care == "self":
        assert ENGLISH.tr(spoken(view)) == said
    return said


def test_a_sitter_is_not_asked_to_stay_just_like_that_for_a_long_exposure():
    shooting = Session(state="shooting", since_s=10.0, document=DOCUMENT, where=WHERE)
    assert words_at(shooting, 13.9) == "Stay just like that"
    assert words_at(shooting, 14.1) == words_at(shooting, 22.0) == "One moment, please"


def test_nobody_is_asked_to_look_at_the_camera_over_a_picture_that_has_stopped_or_not_come():
    aligning = Session(state="align", since_s=10.0, document=DOCUMENT, where=WHERE)
    assert words_at(aligning, 10.1) == words_at(aligning, 15.0) == "One moment, please"
    holding = replace(aligning, advice=Advice(Instruction.HOLD_STILL, since_s=11.0, seen_s=12.0))
    assert words_at(holding, 13.0) == "Hold still and look at the camera"
    assert words_at(holding, 13.6) == "One moment, please"
    assert words_at(replace(holding, care="child"), 13.6) == "One moment, please"
