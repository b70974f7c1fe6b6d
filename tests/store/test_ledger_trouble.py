"""A ledger that is damaged, newer, foreign, locked or on a full disk: nothing is lost and the shop goes on."""

import errno
import sqlite3
import threading
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from kiosk.core.session.facts import Attended, SessionBegan, SessionEnded, SheetBegun, SheetEnded
from kiosk.errors import CannotWrite, LedgerBusy, LedgerForeign, LedgerShared
from kiosk.store.ledger import Bookkeeper, bookkeeper, file
from kiosk.store.ledger.versions import VERSIONS
from tests.support.manual_clock import ManualClock


@pytest.fixture
def path(tmp_path):
    return tmp_path / "ledger.sqlite3"


@pytest.fixture(autouse=True)
def no_patience(monkeypatch):
    monkeypatch.setattr(file, "BUSY_S", 0.0)


def opened(path):
    return Bookkeeper(path, ManualClock(3600.0, date(2026, 3, 1)), lambda key: "unknown", retry_s=0.01)


def keep(path, *facts):
    with closing(opened(path)) as ledger:
        for fact in facts:
            ledger.put(fact)
    return ledger


def rows(path, query):
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(query).fetchall()


def a_day(path):
    keep(path, *[fact for number in range(200) for fact in (SessionBegan("en"), SessionEnded("printed"))])


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


def test_two_booths_do_not_share_a_ledger(path):
    with closing(opened(path)), pytest.raises(LedgerShared, match="Another running booth uses the ledger"):
        opened(path)
    opened(path).close()


def test_a_folder_that_cannot_be_made_is_refused(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(CannotWrite):
        opened(tmp_path / "file" / "ledger.sqlite3")


def holding(path):
    """Hold the write lock as a person's database browser would."""
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    return closing(other)


def test_facts_wait_while_another_program_holds_the_ledger(path):
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush()
        with holding(path):
            ledger.put(SessionEnded("abandoned"))
            ledger.put(Attended("paper_changed"))
            assert not ledger.flush(limit_s=0.2)
            assert isinstance(ledger.trouble, LedgerBusy)
        assert ledger.flush()
        assert ledger.trouble is None
    assert rows(path, "SELECT ending FROM session") == [("abandoned",)]
    assert rows(path, "SELECT act FROM attended") == [("paper_changed",)]


def test_a_ledger_held_at_the_start_is_opened_later(path):
    a_day(path)
    with holding(path):
        ledger = opened(path)
        ledger.put(SessionBegan("de"))
        assert isinstance(ledger.trouble, LedgerBusy)
    with closing(ledger):
        assert ledger.flush()
    assert rows(path, "SELECT count(*) FROM session") == [(201,)]


def test_facts_wait_while_the_disk_is_full(path):
    """SQLite answers SQLITE_FULL at its own limit of pages as it does at the disk's."""
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush()
        raw = ledger._engine.raw_connection().driver_connection
        raw.execute("PRAGMA max_page_count = 1")
        for number in range(2000):
            ledger.put(SheetBegun(f"k{number}", "d", "m", 4))
        trouble = None
        while not ledger.flush(limit_s=0.02):
            trouble = trouble or ledger.trouble
        assert isinstance(trouble, CannotWrite)
    assert rows(path, "SELECT count(*) FROM sheet") == [(2000,)]


def fill_the_disk(ledger):
    ledger._engine.raw_connection().driver_connection.execute("PRAGMA max_page_count = 1")


def test_a_session_lives_through_a_full_disk(path):
    """The file is opened again when there is room, and the sitter is still there: nothing was interrupted."""
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        ledger.put(SheetBegun("first", "d", "m", 4))
        assert ledger.flush()
        fill_the_disk(ledger)
        for number in range(2000):
            ledger.put(SheetBegun(f"k{number}", "d", "m", 4))
        while not ledger.flush(limit_s=0.02):
            pass
        ledger.put(SheetEnded("first", "printed"))
        ledger.put(SessionEnded("printed"))
    assert rows(path, "SELECT ending FROM session") == [("printed",)]
    assert rows(path, "SELECT count(*) FROM sheet WHERE session_id = 1") == [(2001,)]
    assert rows(path, "SELECT count(*) FROM sheet WHERE ended IS NOT NULL") == [(1,)]


def test_no_fact_is_written_twice_when_the_disk_fills_up_after_one_that_contradicts(path):
    same = SheetBegun("same", "d", "m", 4)
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush()
        with holding(path):
            for fact in (same, same, *[Attended("test_shot")] * 3000):
                ledger.put(fact)
        fill_the_disk(ledger)
        while not ledger.flush(limit_s=0.02):
            pass
    assert rows(path, "SELECT count(*) FROM attended") == [(3000,)]
    assert rows(path, "SELECT count(*) FROM sheet") == [(1,)]


def test_facts_wait_while_the_file_system_takes_no_change(path, monkeypatch):
    """A disk that is read-only refuses more than SQLite's own calls; the thread goes on."""
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush()

        def refused(self, mode):
            raise OSError(errno.EROFS, "Read-only file system")

        monkeypatch.setattr(Path, "chmod", refused)
        fill_the_disk(ledger)
        for _ in range(3000):
            ledger.put(Attended("test_shot"))
        while ledger.trouble is None or "read-only" not in str(ledger.trouble):
            assert not ledger.flush(limit_s=0.02)
        monkeypatch.undo()
        assert ledger.flush(limit_s=10.0)
        assert ledger.trouble is None
    assert rows(path, "SELECT count(*) FROM attended") == [(3000,)]


def test_a_ledger_damaged_while_the_booth_runs_is_set_aside(path):
    a_day(path)
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush()
        connection = ledger._engine.raw_connection().driver_connection
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        path.write_bytes(path.read_bytes()[:4096] + b"\xa5" * (path.stat().st_size - 4096))
        connection.execute("PRAGMA shrink_memory")
        ledger.put(SessionEnded("printed"))
        ledger.put(SessionBegan("de"))
        assert ledger.flush(limit_s=10.0)
    assert rows(path, "SELECT language FROM session") == [("de",)]
    assert rows(path, "SELECT key FROM fault") == [("ledger_damaged",)]
    assert len(file.set_aside_files(path)) == 1


def test_a_fact_that_contradicts_the_ledger_does_not_keep_the_others_from_it(path, caplog):
    same = SheetBegun("same", "d", "m", 4)
    keep(path, SessionBegan("en"), same, same, SessionEnded("printed"))
    assert rows(path, "SELECT count(*) FROM sheet") == [(1,)]
    assert rows(path, "SELECT ending FROM session") == [("printed",)]
    assert "cannot hold a SheetBegun" in caplog.text


def test_the_oldest_facts_go_first_when_nothing_is_ever_written(path, monkeypatch, caplog):
    monkeypatch.setattr(bookkeeper, "MOST_FACTS", 3)
    monkeypatch.setattr(bookkeeper, "_CLOSE_S", 5.0)
    with closing(opened(path)) as ledger:
        with holding(path):
            for act in ("closed", "opened", "paper_changed", "test_shot"):
                ledger.put(Attended(act))
        assert ledger.flush()
    assert rows(path, "SELECT act FROM attended") == [("opened",), ("paper_changed",), ("test_shot",)]
    assert "the oldest fact is lost" in caplog.text


def test_putting_a_fact_never_waits_for_the_disk(path):
    """The writing thread is held by the lock of another program; `put` comes back on the caller's own thread."""
    with closing(opened(path)) as ledger, holding(path):
        putting = threading.Thread(target=lambda: [ledger.put(Attended("test_shot")) for _ in range(1000)])
        putting.start()
        putting.join(10.0)
        assert not putting.is_alive()
        assert not ledger.flush(limit_s=0.0)


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
    keep(path, Attended("signed_in"))
    assert "it is empty" in caplog.text
    assert len(file.damaged(path)) == 1
    assert rows(path, "select key from fault") == [("ledger_damaged",)]
