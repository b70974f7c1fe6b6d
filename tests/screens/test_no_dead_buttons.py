"""Whatever a screen offers to touch, the session answers in that state."""

from dataclasses import replace
from datetime import date
from typing import get_args

import pytest

from kiosk.core.base.measurement import Measurement
from kiosk.core.base.ticket import Ticket
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.framing import framing
from kiosk.core.session.account import Account
from kiosk.core.session.booth_config import BoothConfig, Reception
from kiosk.core.session.events import Still
from kiosk.core.session.handing import Handing, HandoverTerms
from kiosk.core.session.presenter import present
from kiosk.core.session.state import NEXT, Session
from kiosk.core.session.step import step
from kiosk.core.view.choice import Guest, Search
from kiosk.core.view.handover import FileFault
from kiosk.core.view.intent import Ease, Intent
from kiosk.i18n import Words, available
from kiosk.screens.toolkit.scene import PanelPlace
from tests.support.shipped import CATALOGUE
from tests.support.sights import conforming
from tests.support.views import altered

DOCUMENT = CATALOGUE.get("gb-passport-print")
HOUSE = BoothConfig((DOCUMENT,), languages=available(), sheets=(1, 2), papers={DOCUMENT.id: ("10x15cm", "13x18cm")})
PHOTOS_ON = {"10x15cm": 8, "13x18cm": 15}
DOUBTFUL = Still(judge(conforming(DOCUMENT, yaw=Measurement("yaw", None, "deg")), DOCUMENT))
EVENT = BoothConfig((), languages=available(), reception=Reception(DOCUMENT, date(2027, 1, 31)))
GUEST = Guest("G1", "Ana Öz")
STILL = Still(judge(conforming(DOCUMENT), DOCUMENT))
CHOSEN = (Intent("language", "en"), Intent("sheets", "1"), Intent("paper", "10x15cm"))
"""What is chosen already; touching it again changes nothing."""
FOUND = Search("an", (GUEST,), ("a", " "))


def test_every_touch_changes_the_session(draw, size):
    for state in set(NEXT) - {"find"}:
        chosen = None if state in ("welcome", "choose") else DOCUMENT
        where = framing(DOCUMENT, *HOUSE.still_px) if chosen else None
        session = Session(
            state=state,
            document=chosen,
            where=where,
            paper="10x15cm" if chosen else "",
            still=STILL,
            account=Account(ticket=Ticket(1)),
        )
        view = present(session, HOUSE, 1.0, simulated=True, copies=8, paper="10x15cm", photos_on=PHOTOS_ON)
        stage, _ = draw(view, size)
        for target in stage.targets:
            if isinstance(target.act, Intent) and target.act not in CHOSEN:
                after, _ = step(session, target.act, 2.0, HOUSE)
                assert replace(after, active_s=0.0) != session, (state, target.act)


@pytest.mark.parametrize("state", ["collect", "take_file"])
@pytest.mark.parametrize("stage", ["kept", "opening", "link", "insert", "writing", "taken", "failed"])
def test_every_touch_on_a_files_way_changes_the_session(draw, size, state, stage):
    config = replace(HOUSE, handover=HandoverTerms(("phone", "stick"), 300.0))
    for fault in get_args(FileFault) if stage == "failed" else (None,):
        handing = Handing(stage, "stick", fault, "HTTP://10.0.0.1/A")
        session = Session(state=state, document=DOCUMENT, handing=handing)
        if (state, stage) == ("collect", "writing"):
            continue  # nobody leaves the screen of a stick while it is written
        drawn, _ = draw(present(session, config, 1.0, simulated=True, copies=8, paper="10x15cm"), size)
        for target in drawn.targets:
            if isinstance(target.act, Intent) and target.act not in CHOSEN:
                after, _ = step(session, target.act, 2.0, config)
                assert replace(after, active_s=0.0) != session, (fault, target.act)


def test_every_touch_on_a_doubtful_photo_changes_the_session(draw, size):
    config = replace(HOUSE, doubt="sitter")
    session = Session(state="review", document=DOCUMENT, where=framing(DOCUMENT, *HOUSE.still_px), still=DOUBTFUL)
    stage, _ = draw(present(session, config, 1.0, simulated=True, copies=8, paper="10x15cm"), size)
    acts = [target.act for target in stage.targets if isinstance(target.act, Intent)]
    assert {act.name for act in acts} == {"retake", "accept_doubt", "start_again"}
    for act in acts:
        assert replace(step(session, act, 2.0, config)[0], active_s=0.0) != session, act


def test_every_touch_of_an_event_changes_the_session(draw, size):
    where = framing(DOCUMENT, *EVENT.still_px)
    for state in ("welcome", "find", "privacy", "review", "collect"):
        guest = GUEST if state in ("privacy", "review", "collect") else None
        chosen = DOCUMENT if guest else None
        session = Session(state=state, document=chosen, where=where, guest=guest, search=FOUND)
        stage, _ = draw(present(session, EVENT, 1.0, simulated=True, copies=1, paper="card"), size)
        for target in stage.targets:
            if isinstance(target.act, Intent) and target.act != Intent("language", session.language):
                after, _ = step(session, target.act, 2.0, EVENT)
                assert replace(after, active_s=0.0) != session, (state, target.act)


@pytest.mark.parametrize(
    "name", ["paying_coins", "printing", "unprinted_called", "money_owed", "thanks", "review_called"]
)
def test_a_panel_leads_back_to_the_start_only_where_its_screen_does(draw, views, size, name):
    """A photo that is kept because the printer failed would be wiped by a touch beside "Go on meanwhile"."""
    leads_back = name == "review_called"
    said = Words.load("en").tr("help.start_again")
    for panel in ("", "called"):
        stage, _ = draw(altered(views[name], attended=True), size, "en", PanelPlace(panel))
        if panel != "help":
            assert (Intent("start_again") in [target.act for target in stage.targets]) is leads_back, panel
    for ease in (Ease(), Ease(large_type=True)):
        alone, shown = altered(views[name], attended=False, called=False, ease=ease), set()
        for page in (0, 1):
            stage, _ = draw(alone, size, "en", PanelPlace("help", page=page))
            shown |= {block.text for _, block in stage.blocks}
        assert (said in shown) is leads_back


def test_a_language_can_be_chosen_in_every_state():
    for state in NEXT:
        after, _ = step(Session(state=state), Intent("language", "pl"), 2.0, HOUSE)
        assert after.language == "pl", state
