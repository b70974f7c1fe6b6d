"""What the readiness check says of an office's database, on a real one."""

from contextlib import closing
from datetime import UTC, date, datetime, timedelta

import pytest

from kiosk.core.session.facts import SessionBegan
from kiosk.ready.office import office_findings
from kiosk.settings import read_settings
from kiosk.store.fleet.office import Office
from kiosk.store.ledger import Bookkeeper
from tests.ready.test_ledger import SETTINGS
from tests.support.fleet_lab import office_of
from tests.support.manual_clock import ManualClock
from tests.support.postgres_lab import postgres

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def office():
    with postgres() as server:
        yield office_of(server)


def settings_of(tmp_path, url):
    path = tmp_path / "booth.toml"
    named = SETTINGS.replace("[booth]", '[booth]\nname = "north 1"')
    path.write_text(f'{named}\n[ledger]\ndatabase = "{url}"\nregion = "north"\n', encoding="utf-8")
    return read_settings(path)


def found(settings, now=NOON):
    return {finding.name: finding for finding in office_findings(settings, now)}


def test_a_booth_without_an_office_is_not_asked_about_one(tmp_path):
    path = tmp_path / "booth.toml"
    path.write_text(SETTINGS, encoding="utf-8")
    assert found(read_settings(path)) == {}


def test_it_says_how_many_facts_wait_and_since_when(tmp_path, office):
    settings = settings_of(tmp_path, office.add_booth("north 1"))
    reached = found(settings)["office"]
    assert (reached.good, reached.sentence) == (True, "The office's database takes the booth's facts.")
    clock = ManualClock(12 * 3600.0, date(2026, 3, 1))
    with closing(Bookkeeper(settings.ledger_file, clock, lambda key: "unknown", is_sent=True)) as ledger:
        assert ledger.flush(limit_s=60.0)
        assert found(settings)["facts_unsent"].sentence == "The office's database has all facts of the booth."
        ledger.put(SessionBegan("en"))
        ledger.put(SessionBegan("en"))
        assert ledger.flush(limit_s=60.0)
    waiting = found(settings, NOON + timedelta(hours=3))["facts_unsent"]
    said = "2 facts wait for the office's database, the oldest since 2026-03-01 12:00."
    assert (waiting.good, waiting.sentence) == (True, said)
    late = found(settings, NOON + timedelta(days=2))["facts_unsent"]
    assert (late.grade, late.sentence) == ("warn", said)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda url: url.replace("/office_", "/other_"), 'database "other_'),
        (lambda url: url.replace("north%201:", "reader:"), "permission denied for table fact"),
        (lambda url: url.replace("north%201:", "south%201:"), "violates row-level security"),
    ],
)
def test_a_database_that_does_not_take_facts_is_a_warning(tmp_path, office, change, said):
    office.add_reader("reader")
    office.add_booth("south 1")
    finding = found(settings_of(tmp_path, change(office.add_booth("north 1"))))["office"]
    assert finding.grade == "warn"
    assert said in finding.sentence
    assert "correct horse" not in finding.sentence


def test_asking_leaves_nothing_in_the_database(tmp_path, office):
    url = office.add_booth("never opened")
    Office(url).check("never opened")
    assert office.rows("SELECT * FROM booth WHERE name = 'never opened'") == []
