"""A ledger that is damaged, newer or foreign: what it holds is kept, and a new one begun."""

import sqlite3
from contextlib import closing
from datetime import date

import pytest

from kiosk.core.session.business_report import Period
from kiosk.core.session.facts import Attended, SessionBegan, SessionEnded, SheetBegun
from kiosk.errors import LedgerDamaged, LedgerForeign
from kiosk.store.ledger import file
from kiosk.store.ledger.reading import read_trade
from kiosk.store.ledger.versions import VERSIONS
from tests.support.ledger_lab import PATIENCE_S, a_day, keep, opened, rows


def cut_short(path):
    path.write_bytes(path.read_bytes()[:-5000])


def overwrite_the_middle(path):
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xa5" * 4096 + whole[8192:])


def overwrite_the_start(path):
    path.write_bytes(b"\xa5" * 100 + path.read_bytes()[100:])


@pytest.mark.parametrize("damage", [cut_short, overwrite_the_middle, overwrite_the_start])
def test_a_damaged_ledger_is_kept_and_a_new_one_begun(path, damage, caplog):
    a_day(path)
    damage(path)
    damaged = path.read_bytes()
    keep(path, SessionBegan("de"))
    (kept,) = file.set_aside_files(path)
    assert kept.name == "ledger.damaged-20260301T010000.sqlite3"
    assert kept.read_bytes() == damaged
    assert rows(path, "SELECT language FROM session") == [("de",)]
    assert rows(path, "SELECT key FROM fault") == [("ledger_damaged",)]
    assert f"The ledger {path} is damaged: " in caplog.text
    assert str(kept) in caplog.text


def test_a_newer_ledger_is_kept_and_a_new_one_begun(path):
    a_day(path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA user_version = {len(VERSIONS) + 1}")
    keep(path, SessionBegan("de"))
    (kept,) = file.set_aside_files(path)
    assert rows(kept, "SELECT count(*) FROM session") == [(200,)]
    assert rows(path, "SELECT key FROM fault") == [("ledger_newer",)]


def test_a_database_of_something_else_stands_untouched(path):
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE session (id INTEGER)")
    before = path.read_bytes()
    with pytest.raises(LedgerForeign, match="is a database, but not a booth's ledger"):
        opened(path)
    assert path.read_bytes() == before
    assert file.set_aside_files(path) == []


def test_a_ledger_damaged_while_the_booth_runs_is_set_aside(path):
    a_day(path)
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush(limit_s=PATIENCE_S)
        connection = ledger._book.engine.raw_connection().driver_connection
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        path.write_bytes(path.read_bytes()[:4096] + b"\xa5" * (path.stat().st_size - 4096))
        connection.execute("PRAGMA shrink_memory")
        ledger.put(SessionEnded("printed"))
        ledger.put(SessionBegan("de"))
        assert ledger.flush(limit_s=PATIENCE_S)
    assert rows(path, "SELECT language FROM session") == [("de",)]
    assert rows(path, "SELECT key FROM fault") == [("ledger_damaged",)]
    assert len(file.set_aside_files(path)) == 1


def test_a_ledger_whose_words_are_damaged_is_set_aside_too(path):
    """SQLite's own check looks at pages and not at the letters in them."""
    keep(path, SessionBegan("en"), SheetBegun("k-open", "d", "m", 4))
    path.write_bytes(path.read_bytes().replace(b"k-open", b"k-\xff\xfepe"))
    keep(path, SessionBegan("de"))
    assert rows(path, "SELECT language FROM session") == [("de",)]
    assert len(file.set_aside_files(path)) == 1


def test_an_empty_file_where_a_ledger_was_is_reported_and_kept_apart(path, caplog):
    """What a disk leaves of a file that was being moved, or a hand that slipped; it is no new ledger."""
    a_day(path)
    path.write_bytes(b"")
    with pytest.raises(LedgerDamaged, match="it is empty"):
        read_trade(path, Period("2026", date(2026, 1, 1), date(2026, 12, 31)))
    keep(path, Attended("signed_in"))
    assert "it is empty" in caplog.text
    assert len(file.damaged(path)) == 1
    assert rows(path, "select key from fault") == [("ledger_damaged",)]
