"""A sitter whose photo stays doubtful, on the real parts: decides alone where the shop lets it."""

import sqlite3
from contextlib import closing

import pytest

from kiosk.core.view.intent import Intent
from kiosk.devices.sim.scenario import Pose, Scenario
from kiosk.system.pin_hash import hash_pin
from tests.support.pilot import booth
from tests.support.printed import stands_in
from tests.support.shipped import CATALOGUE

STILL = Scenario(seed=3, arrives_s=0.0, begins=Pose())
GB = CATALOGUE.get("gb-passport-print")
DOUBTFUL = GB.model_copy(
    update={
        "capture": {
            **GB.capture,
            "camera_distance": GB.capture["camera_distance"].model_copy(update={"if_known": False}),
        }
    }
)
"""Rules that ask how far the camera stands, which a camera that writes no focal length leaves unknown."""
NOT_CERTAIN = "gb-passport-print · 2026-11-25 · not certain: camera distance · print at 100 % · cut at the marks"


def ledger(pilot, query):
    assert pilot.parts.ledger.flush(limit_s=20.0)
    with closing(sqlite3.connect(pilot.folder / "state" / "ledger.sqlite3")) as connection:
        return connection.execute(query).fetchall()


def offered(pilot):
    return {target.act.name for target in pilot.parts.screen.stage.targets if isinstance(target.act, Intent)}


def shown(pilot):
    return [block.text for _, block in pilot.parts.screen.stage.blocks]


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    """Return a pilot whose sitter tried once more, got no better photo, and had it printed as not certain."""
    folder = tmp_path_factory.mktemp("booth")
    with booth(folder, DOUBTFUL, scenario=STILL, shots=2, doubt="sitter") as pilot:
        pilot.to_align(DOUBTFUL.id)
        pilot.until("review")
        pilot.first = pilot.loop.session.still
        pilot.said = shown(pilot)
        pilot.offered = offered(pilot)
        pilot.tap("retake", rest_s=0.1)
        pilot.meanwhile = pilot.parts.files.names()
        pilot.until("review")
        pilot.second = pilot.loop.session.still
        pilot.files = pilot.parts.files.names()
        pilot.tap("accept_doubt")
        pilot.until("collect")
        yield pilot


def test_the_sitter_is_told_what_is_doubtful_and_chooses(printed):
    assert "We can’t be sure about this photo" in printed.said
    assert any("Camera distance" in text for text in printed.said)
    assert {"retake", "accept_doubt"} <= printed.offered
    assert not {"accept", "call"} & printed.offered


def test_the_doubtful_photo_is_kept_while_others_are_taken_and_one_at_most(printed):
    assert printed.meanwhile == [f"still-{printed.first.number}.jpg"]
    assert printed.files == [f"still-{printed.second.number}.jpg"]
    assert printed.states.count("shooting") == 4, "twice by itself, and twice at the sitter's wish"
    assert printed.parts.files.names() == []


def test_the_margin_and_the_ledger_say_what_is_not_certain(printed):
    (path,) = (printed.folder / "prints").glob("*.pdf")
    assert stands_in(path.read_bytes(), NOT_CERTAIN)
    assert ledger(printed, "SELECT not_certain, ended FROM sheet") == [("camera_distance", "printed")]
    assert ledger(printed, "SELECT verdict FROM shot") == [("refer",)] * 4, "the judgement stays as it was"
    assert ledger(printed, "SELECT count(*) FROM override") == [(0,)]


def test_with_an_attendant_it_goes_to_the_attendant(tmp_path):
    with booth(tmp_path, DOUBTFUL, scenario=STILL, shots=1, pin_hash=hash_pin("480217")) as pilot:
        pilot.to_align(DOUBTFUL.id)
        pilot.until("review")
        assert pilot.view.review.verdict == "refer"
        assert {"retake", "call"} <= offered(pilot)
        assert not {"accept", "accept_doubt"} & offered(pilot)
        assert "Please ask the attendant" in shown(pilot)


def test_what_failed_is_not_offered(tmp_path):
    shut = STILL.model_copy(update={"spoil_shots": ("eyes_closed",)})
    with booth(tmp_path, DOUBTFUL, scenario=shut, shots=1, doubt="sitter") as pilot:
        pilot.to_align(DOUBTFUL.id)
        pilot.until("review")
        assert pilot.view.review.verdict == "fail"
        assert not {"accept", "accept_doubt"} & offered(pilot)
        assert list((tmp_path / "prints").glob("*.pdf")) == []
