"""The mains fail, for a moment or for long, on a real upsd: the session ends in order, and the booth opens again."""

import json
from dataclasses import replace

import pytest

from kiosk.booth.health.mains import GRACE_S
from kiosk.booth.loop import Loop
from kiosk.cli import main
from kiosk.core.base.mains import Mains
from kiosk.core.session.booth_config import BoothConfig
from kiosk.errors import SettingsRefused
from kiosk.ready.mains import mains_findings
from kiosk.settings import settings_from
from kiosk.system import ups
from kiosk.system.ups import ask_ups, watched_mains
from tests.support.pilot import booth
from tests.support.shipped import CATALOGUE
from tests.support.ups_lab import ups_lab
from tests.support.virtual_printer import wait_for

DOCUMENT = "gb-passport-print"


@pytest.fixture
def lab(monkeypatch):
    monkeypatch.setattr(ups, "ASK_S", 60.0)
    with ups_lab() as running:
        yield running


def settings_with(tmp_path, power):
    text = f"""[booth]
documents = ["{DOCUMENT}"]
session_folder = "session"
state_folder = "state"
[camera]
backend = "uvc"
[printer]
backend = "folder"
folder = "prints"
{power}"""
    path = tmp_path / "booth.toml"
    path.write_text(text)
    return settings_from(text, path)


def heard(last, words):
    wait_for(lambda: (last() or Mains()).words == tuple(words.split()), "the watch never heard it")


def test_a_failure_ends_the_session_in_order_and_the_booth_opens_when_the_mains_are_back(lab, tmp_path):
    with booth(tmp_path, DOCUMENT) as pilot, watched_mains(lab.ups) as last:
        heard(last, "OL")
        pilot.loop = Loop(BoothConfig((CATALOGUE.get(DOCUMENT),)), replace(pilot.parts, mains=last))
        pilot.advance(0.1)
        pilot.tap("start")
        lab.say("OB DISCHRG")
        heard(last, "OB DISCHRG")
        pilot.advance(GRACE_S - 1)
        lab.say("OL CHRG")
        heard(last, "OL CHRG")
        pilot.advance(GRACE_S)
        assert pilot.view.state == "choose"
        lab.say("OB DISCHRG")
        heard(last, "OB DISCHRG")
        pilot.advance(GRACE_S + 0.5)
        assert pilot.view.state == "out_of_order"
        assert pilot.view.fault[0] == "The mains have failed; the booth runs on its UPS."
        assert not any((tmp_path / "session").rglob("*.jpg"))
        lab.kill()
        wait_for(lambda: last().trouble, "the watch never missed the server")
        pilot.advance(GRACE_S)
        assert pilot.view.state == "out_of_order"
        lab.start()
        lab.say("OL")
        heard(last, "OL")
        pilot.advance(0.5)
        assert pilot.view.state == "welcome"


@pytest.mark.parametrize("status", ["OB LB DISCHRG", "FSD OL"])
def test_an_empty_battery_ends_the_session_at_once(lab, tmp_path, status):
    with booth(tmp_path, DOCUMENT) as pilot, watched_mains(lab.ups) as last:
        pilot.loop = Loop(BoothConfig((CATALOGUE.get(DOCUMENT),)), replace(pilot.parts, mains=last))
        pilot.advance(0.1)
        pilot.tap("start")
        lab.say(status)
        heard(last, status)
        pilot.advance(0.1)
        assert pilot.view.state == "out_of_order"
        assert "battery is nearly empty" in pilot.view.fault[0]


def test_a_ups_that_cannot_be_asked_changes_nothing_and_is_told(lab, tmp_path, monkeypatch):
    assert "Unknown UPS" in ask_ups(lab.ups.replace("booth", "other")).trouble
    lab.say("BYPASS")
    assert "its status is BYPASS" in ask_ups(lab.ups).trouble
    with monkeypatch.context() as impatient:
        impatient.setattr(ups, "ASK_S", 0.5)
        lab.freeze()
        assert ask_ups(lab.ups).trouble == f"the UPS {lab.ups} does not answer"
    lab.kill()
    assert "Connection refused" in ask_ups(lab.ups).trouble
    monkeypatch.setenv("PATH", str(tmp_path))
    assert "upsc is not installed" in ask_ups(lab.ups).trouble
    (finding,) = mains_findings(settings_with(tmp_path, f'[power]\nups = "{lab.ups}"\n'))
    assert (finding.grade, finding.value) == ("warn", "unknown")


@pytest.mark.slow
def test_ready_shows_the_mains_where_a_ups_is_named_and_else_asks_nobody(lab, tmp_path, capsys):
    assert list(mains_findings(settings_with(tmp_path, ""))) == []
    settings = settings_with(tmp_path, f'[power]\nups = "{lab.ups}"\n')
    (there,) = mains_findings(settings)
    assert (there.grade, there.sentence) == ("ok", "The mains are there.")
    lab.say("OB DISCHRG")
    main(["ready", "--settings", str(settings.file), "--json"])
    shown = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    (failed,) = [finding for finding in shown if finding["name"] == "mains"]
    assert (failed["grade"], failed["value"]) == ("stop", "OB DISCHRG")


@pytest.mark.parametrize("name", ["booth now", "-h", "booth@", "a@b;c"])
def test_a_name_that_is_none_of_a_ups_is_refused(tmp_path, name):
    with pytest.raises(SettingsRefused, match=r"power\.ups"):
        settings_with(tmp_path, f'[power]\nups = "{name}"\n')
