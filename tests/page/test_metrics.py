"""The metrics: who may read them, what is in them, and that Prometheus's own parser of OpenMetrics takes them."""

import hashlib
import os
import re
import signal
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from prometheus_client.openmetrics.parser import text_string_to_metric_families

from kiosk.booth.tally import Tally
from kiosk.core.judging.conformance import Verdict
from kiosk.core.session.facts import FaultBegan, FaultsMended, SessionEnded, SheetEnded, ShotJudged, ShotLost
from kiosk.core.view.metrics import Counts, Installed
from kiosk.page import bridge
from kiosk.page.child_process import Interpreter
from kiosk.page.guard import READINGS, Guard
from kiosk.page.messages import Monitoring
from tests.support.page_lab import PATIENCE_S, WAITING, Visitor, counter, eventually
from tests.support.pin import PIN

FLEET = Path(__file__).parents[2] / "hardware" / "fleet"
TOKEN = "0f" * 20
BEARER = {"Authorization": f"Bearer {TOKEN}"}
INSTALLED = Installed({"version": "1.2.3", "opencv-python": "4.11"}, date(2026, 11, 1), date(2027, 5, 1))
MONITORING = Monitoring(hashlib.sha256(TOKEN.encode()).hexdigest(), INSTALLED)
COUNTS = Counts(
    frames=900,
    pictures=30,
    sessions={"printed": 4},
    shots={"pass": 4, "lost": 1},
    words={("exposure", "pass"): 3, ("exposure", "refer"): 1, ("background", "advise"): 4},
    faults={"printer_fault": 2, "camera_fault": 1},
    standing=frozenset({"printer_fault"}),
)


class Facts:
    """A ledger that keeps what it gets."""

    trouble_in_words = ""
    unsent_count = 0

    def __init__(self):
        self.kept = []

    def put(self, fact):
        self.kept.append(fact)


@pytest.fixture
def watched(tmp_path, monkeypatch):
    monkeypatch.setattr(bridge, "METRICS_S", PATIENCE_S)
    with counter(tmp_path, monitoring=MONITORING) as of:
        of.session, of.counts = replace(WAITING, since_s=88.5), COUNTS
        yield of


def samples(text):
    """Return the value of each sample, under its name and labels, as the reference parser reads them."""
    return {
        (sample.name, *sorted(sample.labels.items())): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


def test_the_reference_parser_reads_how_the_booth_stands(watched):
    status, text = Visitor(watched.port).ask("GET", "/metrics", **BEARER)
    found = samples(text)
    assert status == 200
    assert found["holdstill_build_info", ("opencv_python", "4.11"), ("version", "1.2.3")] == 1
    assert found["holdstill_state", ("holdstill_state", "release")] == 1
    assert sum(value for name, value in found.items() if name[0] == "holdstill_state") == 1
    assert found["holdstill_state_seconds",] == 11.5
    assert found["holdstill_part_up", ("part", "printer")] == 1
    assert found["holdstill_few_sheets",] == 10
    assert found["holdstill_facts_unsent",] == 5
    assert ("holdstill_sheets_left",) not in found, "nobody has counted them"
    assert found["holdstill_rules_read_timestamp_seconds",] == 1793491200, "date -u -d 2026-11-01 +%s"
    assert found["holdstill_fault_active", ("key", "printer_fault")] == 1
    assert found["holdstill_fault_active", ("key", "camera_fault")] == 0
    assert found["holdstill_faults_total", ("key", "printer_fault")] == 2
    assert (found["holdstill_frames_total",], found["holdstill_pictures_total",]) == (900, 30)
    assert found["holdstill_sessions_total", ("ending", "printed")] == 4
    assert found["holdstill_sessions_total", ("ending", "gave_up")] == 0, "a rate needs the zero before the first"
    assert found["holdstill_shots_total", ("verdict", "lost")] == 1
    assert found["holdstill_judgements_total", ("requirement", "exposure"), ("word", "refer")] == 1
    assert not [name for name in found if ("requirement", "background") in name and ("word", "advise") in name]


def test_its_type_is_openmetrics_and_every_name_has_the_prefix(watched):
    visitor = Visitor(watched.port)
    _, text = visitor.ask("GET", "/metrics", **BEARER)
    assert visitor.headers["content-type"] == "application/openmetrics-text; version=1.0.0; charset=utf-8"
    assert visitor.headers["cache-control"] == "no-store"
    assert all(family.name.startswith("holdstill_") for family in text_string_to_metric_families(text))


def test_whatever_alerts_and_dashboard_ask_for_is_there(watched):
    with watched.between_turns:
        watched.desk.desk = replace(watched.desk.desk, sheets=3)
    assert eventually(lambda: ("holdstill_sheets_left",) in samples(page(watched)))
    there = {name for name, *_ in samples(page(watched))}
    asked = {
        name
        for file in ("alerts.yml", "dashboard.json")
        for name in re.findall(r"\bholdstill_\w+", (FLEET / file).read_text("utf-8"))
    }
    assert len(asked) > 10
    assert asked - there == set()


def page(watched):
    return Visitor(watched.port).ask("GET", "/metrics", **BEARER)[1]


def test_nothing_in_it_is_a_persons(watched):
    """The page shows this sitter's document and verdict to the attendant."""
    watched.session = replace(WAITING, called=True)
    text = Visitor(watched.port).ask("GET", "/metrics", **BEARER)[1]
    document = WAITING.document
    assert document.id not in text
    assert document.title not in text
    labels = {
        name for family in text_string_to_metric_families(text) for each in family.samples for name in each.labels
    }
    known = {"holdstill_state", "part", "key", "ending", "verdict", "end", "requirement", "word"}
    assert labels - {"version", "opencv_python"} == known


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"Authorization": ""},
        {"Authorization": "Bearer"},
        {"Authorization": f"Bearer {TOKEN}0"},
        {"Authorization": f"Bearer {TOKEN[:-1]}"},
        {"Authorization": f"Basic {TOKEN}"},
        {"Authorization": f"Bearer {MONITORING.token_hash}"},
        {"Authorization": "Bearer \xe9\xff"},
    ],
)
def test_whoever_has_no_token_learns_nothing(watched, said):
    visitor = Visitor(watched.port)
    assert visitor.ask("GET", "/metrics", **said) == (401, "Unauthorized")
    assert visitor.headers["www-authenticate"] == "Bearer"


def test_a_pin_is_no_token_and_a_token_no_pin(watched):
    attendant = Visitor(watched.port)
    assert attendant.sign_in(PIN) == 303
    assert attendant.ask("GET", "/metrics")[0] == 401
    assert attendant.ask("GET", "/metrics", Authorization=f"Bearer {PIN}")[0] == 401
    assert Visitor(watched.port).ask("GET", "/state", **BEARER)[0] == 401


def test_a_short_token_is_none_whatever_the_settings_say(tmp_path):
    """Such as the hash of an empty file."""
    for short in ("", "0f" * 15 + "0"):
        monitoring = replace(MONITORING, token_hash=hashlib.sha256(short.encode()).hexdigest())
        with counter(tmp_path, monitoring=monitoring) as of:
            assert Visitor(of.port).ask("GET", "/metrics", Authorization=f"Bearer {short}")[0] == 401


def test_without_the_setting_there_is_no_such_page(desk):
    assert Visitor(desk.port).ask("GET", "/metrics", **BEARER)[0] == 404


def test_one_who_guesses_is_slowed_down_and_the_attendant_beside_is_not(watched):
    visitor = Visitor(watched.port)
    statuses = [visitor.ask("GET", "/metrics", Authorization="Bearer no")[0] for _ in range(READINGS + 2)]
    assert statuses == [401] * READINGS + [429, 429]
    assert visitor.ask("GET", "/metrics", **BEARER)[0] == 429, "a right guess is not seen either"
    assert visitor.ask("GET", "/")[0] == 200
    watched.clock.sleep(4.0)
    assert visitor.ask("GET", "/metrics", **BEARER)[0] == 200


def test_a_server_that_reads_is_no_stranger_where_connections_are_scarce(watched):
    guard = Guard(watched.clock.now_s, MONITORING.token_hash)
    assert not guard.knows("192.0.2.9")
    assert guard.may_read(TOKEN, "192.0.2.9")
    assert guard.knows("192.0.2.9")
    watched.clock.sleep(900.0)
    assert not guard.knows("192.0.2.9")


def test_a_booth_that_hangs_is_503_and_not_what_it_was_before(watched, monkeypatch):
    monkeypatch.setattr(bridge, "METRICS_S", 0.2)
    monkeypatch.setattr(watched.page, "publish", lambda view, metrics: None)
    assert Visitor(watched.port).ask("GET", "/metrics", **BEARER)[0] == 503


def test_it_is_read_through_the_process_and_again_when_that_has_died(tmp_path):
    with counter(tmp_path, start=Interpreter, monitoring=MONITORING) as of:
        visitor = Visitor(of.port)
        assert samples(visitor.ask("GET", "/metrics", **BEARER)[1])["holdstill_frames_total",] == 0
        assert "numpy" not in Path(f"/proc/{of.page.running.pid}/maps").read_text()
        os.kill(of.page.running.pid, signal.SIGKILL)
        assert eventually(lambda: of.page.running is None)
        of.clock.sleep(1.0)
        of.counts = COUNTS
        assert samples(visitor.ask("GET", "/metrics", **BEARER)[1])["holdstill_frames_total",] == 900


def test_the_booth_works_its_metrics_out_only_when_they_are_read(watched):
    asked = []
    publish = watched.page.publish
    watched.page.publish = lambda view, metrics: publish(view, lambda: asked.append(1) or metrics())
    visitor = Visitor(watched.port)
    visitor.ask("GET", "/")
    assert asked == []
    visitor.ask("GET", "/metrics", **BEARER)
    assert asked == [1]


def test_facts_are_counted_on_their_way_to_the_ledger():
    ledger = Facts()
    tally = Tally(ledger)
    passed: Verdict = "pass"
    facts = [
        ShotLost(1),
        ShotJudged(2, "refer", (("exposure", "refer"), ("yaw", "pass"))),
        ShotJudged(3, passed, (("exposure", "pass"), ("yaw", "pass"))),
        SheetEnded("a", "printed"),
        SessionEnded("printed"),
        FaultBegan("printer_fault"),
        FaultBegan("printer_fault"),
    ]
    for fact in facts:
        tally.put(fact)
    counts = tally.counts()
    assert ledger.kept == facts
    assert counts.shots == {"lost": 1, "refer": 1, "pass": 1}
    assert counts.words == {("exposure", "refer"): 1, ("exposure", "pass"): 1, ("yaw", "pass"): 2}
    assert (counts.sheets, counts.sessions, counts.faults) == ({"printed": 1}, {"printed": 1}, {"printer_fault": 2})
    assert counts.standing == {"printer_fault"}
    tally.put(FaultsMended())
    assert tally.counts().standing == frozenset()
    assert counts.standing == {"printer_fault"}, "what was counted before stays as it was"
