"""How long the printer takes and where the sheet comes out: said where the shop has set it, and only then."""

from typing import get_args

import pytest

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.presenter import present
from kiosk.core.session.state import Session
from kiosk.core.view.intent import Ease
from kiosk.core.view.sheet import TrayPlace
from kiosk.i18n import Words
from kiosk.screens.toolkit.scene import PanelPlace
from tests.support.sights import DOCUMENT
from tests.support.views import altered

SMALL = (270, 480)


def texts(stage):
    return {block.text for _, block in stage.blocks}


@pytest.mark.parametrize("tray", get_args(TrayPlace))
def test_the_place_of_the_tray_is_said_while_printing_and_when_it_is_taken(draw, views, tray):
    said = Words.load("en").tr(f"tray.{tray}")
    for name in ("printing", "collect"):
        assert said in texts(draw(altered(views[name], tray=tray), SMALL)[0])
        assert said not in texts(draw(views[name], SMALL)[0])


@pytest.mark.parametrize("tray", [None, *get_args(TrayPlace)])
def test_the_help_names_the_tray_that_is_there_and_no_other(draw, views, small, language, tray):
    words = Words.load(language)
    for ease in (Ease(), Ease(large_type=True, low_controls=True)):
        stage, _ = draw(altered(views["welcome"], tray=tray, ease=ease), small, language, PanelPlace("help"))
        said = {place for place in get_args(TrayPlace) if words.tr(f"tray.{place}") in texts(stage)}
        assert said == ({tray} if tray else set())
        assert all(block.fits for _, block in stage.blocks)
    assert not any("below" in text for text in texts(draw(views["welcome"], small, "en", PanelPlace("help"))[0]))


def test_the_help_at_an_event_speaks_of_the_invitation_and_not_of_documents(draw, views, small):
    said = texts(draw(views["find"], small, "en", PanelPlace("help"))[0])
    assert any("invitation" in text for text in said)
    assert not any("document first" in text or "Scissors" in text for text in said)


@pytest.mark.parametrize(("state", "is_said"), [("waiting", True), ("printing", True), ("held", False)])
def test_the_time_is_said_while_the_printer_works(draw, views, state, is_said):
    shown = texts(draw(altered(views["printing"], takes_s=40, print_state=state), SMALL)[0])
    assert any("40" in text for text in shown) is is_said


def test_every_sheet_takes_its_time():
    config = BoothConfig((DOCUMENT,), takes_s=40, tray="left")
    view = present(Session(state="printing", sheets=3), config, 0.0, simulated=False, copies=8, paper="10x15cm")
    assert (view.sheet.takes_s, view.sheet.tray) == (120, "left")


@pytest.mark.parametrize(("seconds", "said"), [(3, "5 sec"), (41, "40 sec"), (118, "120 sec"), (150, "2 min")])
def test_a_time_is_rounded_for_people(seconds, said):
    assert Words.load("en").duration(seconds) == said
