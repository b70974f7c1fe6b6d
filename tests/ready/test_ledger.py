"""What the readiness check says of the ledger, on real files."""

import shutil
import tempfile
import threading
from datetime import UTC, date, datetime, timedelta

import pytest

from kiosk.ready import copies
from kiosk.ready.copies import copy_findings
from kiosk.ready.ledger import ledger_findings
from kiosk.settings import read_settings
from kiosk.store.ledger.copies import copy_ledger
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
    Shop(settings.ledger_file).trade(3)
    assert found(settings) == [(True, "The ledger counts 3 sitters today.")]


def test_a_damaged_ledger_is_told_and_also_after_it_was_set_aside(settings):
    settings.ledger_file.parent.mkdir()
    settings.ledger_file.write_bytes(b"\xa5" * 8192)
    assert found(settings)[0] == (False, f"The ledger {settings.ledger_file} is damaged: file is not a database.")
    engine, _ = open_ledger(settings.ledger_file, datetime(2026, 1, 1, tzinfo=UTC))
    engine.dispose()
    kept = settings.ledger_file.with_name("ledger.damaged-20260101T000000.sqlite3")
    assert found(settings) == [
        (True, "The ledger counts 0 sitters today."),
        (False, f"A damaged ledger was set aside as {kept}."),
    ]
    assert not any(finding.stops for finding in ledger_findings(settings, TODAY))


@pytest.fixture
def copying(tmp_path):
    path = tmp_path / "booth.toml"
    path.write_text(SETTINGS + '[copies]\nfolder = "second"\n', encoding="utf-8")
    return read_settings(path)


def copies_found(settings, today=TODAY):
    ((finding),) = copy_findings(settings, today)
    assert not finding.stops
    assert finding.good or finding.next_step
    return finding.good, finding.value


def test_a_ledger_that_is_not_to_be_copied_has_no_finding(settings):
    assert list(copy_findings(settings, TODAY)) == []


def test_the_second_medium_is_missing_the_same_disk_empty_fresh_or_old(copying, monkeypatch):
    assert copies_found(copying) == (False, "missing")
    folder = copying.copies_folder
    folder.mkdir()
    assert copies_found(copying) == (False, "same disk")
    Shop(copying.ledger_file).trade(3)
    shutil.rmtree(folder)
    with tempfile.TemporaryDirectory(dir="/dev/shm") as other:
        folder.symlink_to(other)
        assert copies_found(copying) == (False, "none")
        copy_ledger(copying.ledger_file, folder, TODAY, 30)
        assert copies_found(copying, TODAY + timedelta(days=2)) == (True, TODAY.isoformat())
        assert copies_found(copying, TODAY + timedelta(days=3)) == (False, TODAY.isoformat())


def test_a_medium_that_hangs_is_given_up_on(copying, monkeypatch):
    copying.copies_folder.mkdir()
    answered = threading.Event()
    monkeypatch.setattr(copies, "copies_in", lambda _: answered.wait() and [])
    monkeypatch.setattr(copies, "ANSWER_S", 0.1)
    assert copies_found(copying) == (False, "missing")
    answered.set()
