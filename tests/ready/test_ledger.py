"""What the readiness check says of the ledger, on real files."""

from datetime import UTC, date, datetime

import pytest

from kiosk.ready.ledger import ledger_findings
from kiosk.settings import read_settings
from kiosk.store.ledger.file import open_ledger
from tests.store.made_up import Shop

SETTINGS = """
[booth]
documents = ["gb-passport-print"]
state_folder = "state"
[camera]
backend = "uvc"
[printer]
backend = "folder"
folder = "prints"
"""
TODAY = date(2026, 1, 1)


@pytest.fixture
def settings(tmp_path):
    path = tmp_path / "booth.toml"
    path.write_text(SETTINGS, encoding="utf-8")
    return read_settings(path)


def found(settings):
    return [(finding.good, finding.sentence) for finding in ledger_findings(settings, TODAY)]


def test_a_new_booth_has_no_ledger_and_nothing_to_mend(settings):
    assert found(settings) == [(True, "There is no ledger yet; the booth will start one.")]


def test_the_days_sitters_are_counted(settings):
    Shop(settings.ledger).trade(3)
    assert found(settings) == [(True, "The ledger counts 3 sitters today.")]


def test_a_damaged_ledger_is_told_and_also_after_it_was_set_aside(settings):
    settings.ledger.parent.mkdir()
    settings.ledger.write_bytes(b"\xa5" * 8192)
    assert found(settings)[0] == (False, f"The ledger {settings.ledger} is damaged: file is not a database.")
    engine, _ = open_ledger(settings.ledger, datetime(2026, 1, 1, tzinfo=UTC))
    engine.dispose()
    kept = settings.ledger.with_name("ledger.damaged-20260101T000000.sqlite3")
    assert found(settings) == [
        (True, "The ledger counts 0 sitters today."),
        (False, f"A damaged ledger was set aside as {kept}."),
    ]
    assert not any(finding.stops for finding in ledger_findings(settings, TODAY))
