"""The photo as a file, from the printed sheet to its sitter: what is asked for, said and forgotten."""

from dataclasses import replace

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.framing import framing
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import HandFile, MakeFile, Wipe
from kiosk.core.session.events import FileMoved, PrintMoved, Still, Tick
from kiosk.core.session.handing import HandoverTerms
from kiosk.core.session.presenter import present
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.session.time_limits import FILE_LATE_S
from kiosk.core.view.intent import Intent
from tests.support.sights import DOCUMENT, conforming

BOTH = BoothConfig((DOCUMENT,), handover=HandoverTerms(("phone", "stick"), 300.0, "Guests"))
ONE = replace(BOTH, handover=HandoverTerms(("phone",), 300.0))
NONE = replace(BOTH, handover=None)
STILL = Still(judge(conforming(DOCUMENT), DOCUMENT), b"jpeg", number=3)
PRINTING = Session(
    state="printing",
    document=DOCUMENT,
    where=framing(DOCUMENT, 1600, 2000),
    still=STILL,
    ticket=Ticket(7),
    language="de",
    turned_deg=90,
)
LINK = "HTTP://10.0.0.1/ABC"


def after(session, *events, config=BOTH, now_s=5.0):
    commands = ()
    for event in events:
        session, commands = step(session, event, now_s, config)
    return session, commands


def moved(said, link=""):
    return FileMoved(PRINTING.ticket, said, link)


def kept(config=BOTH):
    return after(PRINTING, PrintMoved("done"), moved("kept"), config=config)[0]


def test_the_file_is_cut_before_the_still_is_wiped():
    session, commands = after(PRINTING, PrintMoved("done"))
    assert commands == (MakeFile(Ticket(7), STILL.judgement.plan, DOCUMENT, 3, 90), Wipe("printed"))
    assert (session.still, session.handing.stage) == (None, "making")


@pytest.mark.parametrize(
    ("session", "config"),
    [(PRINTING, NONE), (replace(PRINTING, still=replace(STILL, accepted=True)), BOTH)],
    ids=["not_offered", "doubtful"],
)
def test_no_file_is_made_where_none_is_offered_or_the_paper_alone_can_say_its_doubt(session, config):
    session, commands = after(session, PrintMoved("done"), config=config)
    assert commands == (Wipe("printed"),)
    assert after(session, Intent("take_file"), config=config)[0].state == "collect"


def test_a_file_that_is_still_being_made_cannot_be_asked_for():
    assert after(PRINTING, PrintMoved("done"), Intent("take_file"))[0].state == "collect"


def test_the_sitter_chooses_the_way_and_may_change_it():
    session, commands = after(kept(), Intent("take_file"))
    assert (session.state, commands) == ("take_file", ())
    session, commands = after(session, Intent("take_file", "phone"))
    assert commands == (HandFile("phone", "de"),)
    session, _ = after(session, moved("link", LINK))
    assert (session.handing.stage, session.handing.link) == ("link", LINK)
    session, _ = after(session, Intent("back"))
    assert (session.state, session.handing.stage) == ("take_file", "kept")
    assert after(session, Intent("take_file", "stick"))[1] == (HandFile("stick", "de"),)
    assert after(session, Intent("back"))[0].state == "collect"


def test_the_only_way_needs_no_choice():
    session, commands = after(kept(ONE), Intent("take_file"), config=ONE)
    assert commands == (HandFile("phone", "de"),)
    assert after(session, Intent("take_file", "stick"), config=ONE)[1] == ()
    assert after(session, moved("link"), Intent("back"), config=ONE)[0].state == "collect"


def test_what_is_said_of_another_sitters_file_changes_nothing():
    session, _ = after(kept(), Intent("take_file"), Intent("take_file", "phone"))
    for said in ("kept", "link", "taken", "late", "lost"):
        assert after(session, FileMoved(Ticket(6), said, "HTTP://10.0.0.1/OTHER"))[0] == session
    welcome, _ = after(session, Intent("done"), Intent("done"))
    assert welcome.state == "welcome"
    assert after(welcome, moved("link", LINK))[0] == welcome


def test_a_stick_that_is_written_is_not_walked_away_from():
    session, _ = after(kept(), Intent("take_file"), Intent("take_file", "stick"), moved("insert"), moved("writing"))
    for intent in ("done", "start_again", "back", "take_file"):
        assert after(session, Intent(intent))[0].state == "take_file"
    assert after(session, moved("taken"), Intent("done"))[0].state == "thanks"


@pytest.mark.parametrize("fault", ["offline", "full", "read_only", "pulled", "unwritable"])
def test_after_a_fault_of_the_way_it_is_tried_again(fault):
    session, _ = after(kept(), Intent("take_file"), Intent("take_file", "stick"), moved(fault))
    assert after(session, Intent("take_file", "stick"))[1] == (HandFile("stick", "de"),)


@pytest.mark.parametrize("fault", ["late", "lost"])
def test_a_file_that_is_gone_is_not_asked_for_again(fault):
    session, _ = after(kept(), Intent("take_file"), Intent("take_file", "phone"), moved(fault))
    assert after(session, Intent("take_file", "phone"))[1] == ()


def test_the_screen_stays_for_the_files_time_and_counts_it_down():
    session, _ = after(kept(), Intent("take_file"), Intent("take_file", "phone"), moved("link", LINK))
    for waited_s, left_s in ((0.0, 300), (299.5, 1), (300.0 + FILE_LATE_S, 0)):
        session, _ = after(session, Tick(), now_s=5.0 + waited_s)
        assert session.state == "take_file"
        view = present(session, BOTH, 5.0 + waited_s, simulated=False, copies=8, paper="10x15cm")
        assert (view.handover.wiped_in_s, view.time_left_s) == (left_s, None)
    assert after(session, Tick(), now_s=6.0 + 300.0 + FILE_LATE_S)[0].state == "thanks"


def test_the_link_is_in_no_words_about_the_session():
    session, _ = after(kept(), Intent("take_file"), Intent("take_file", "phone"), moved("link", LINK))
    view = present(session, BOTH, 5.0, simulated=False, copies=8, paper="10x15cm")
    assert view.handover.link == LINK
    assert LINK not in repr(session) + repr(view) + repr(moved("link", LINK))
