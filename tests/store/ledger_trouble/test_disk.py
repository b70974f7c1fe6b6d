"""A ledger whose disk is full or takes no change: no fact is lost or written twice."""

import errno
from contextlib import closing
from pathlib import Path

import pytest

from kiosk.core.session.facts import Attended, SessionBegan, SessionEnded, SheetBegun, SheetEnded
from kiosk.errors import CannotWrite
from tests.support.ledger_lab import PATIENCE_S, fill_the_disk, holding, keep, opened, rows


def test_a_folder_that_cannot_be_made_is_refused(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(CannotWrite):
        opened(tmp_path / "file" / "ledger.sqlite3")


def test_facts_wait_while_the_disk_is_full(path, caplog):
    """Whatever goes wrong is logged at once; the ledger may be whole again before anybody has looked."""
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush(limit_s=PATIENCE_S)
        fill_the_disk(ledger)
        for number in range(400):
            ledger.put(SheetBegun(f"k{number}", "d", "m", 4))
        assert ledger.flush(limit_s=PATIENCE_S)
    (told,) = caplog.messages
    assert told.startswith(str(CannotWrite(path=path, detail="database or disk is full")))
    assert rows(path, "SELECT count(*) FROM sheet") == [(400,)]


def test_a_session_lives_through_a_full_disk(path):
    """The file is opened again when there is room, and the sitter is still there: nothing was interrupted."""
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        ledger.put(SheetBegun("first", "d", "m", 4))
        assert ledger.flush(limit_s=PATIENCE_S)
        fill_the_disk(ledger)
        for number in range(400):
            ledger.put(SheetBegun(f"k{number}", "d", "m", 4))
        assert ledger.flush(limit_s=PATIENCE_S)
        ledger.put(SheetEnded("first", "printed"))
        ledger.put(SessionEnded("printed"))
    assert rows(path, "SELECT ending FROM session") == [("printed",)]
    assert rows(path, "SELECT count(*) FROM sheet WHERE session_id = 1") == [(401,)]
    assert rows(path, "SELECT count(*) FROM sheet WHERE ended IS NOT NULL") == [(1,)]


def test_no_fact_is_written_twice_when_the_disk_fills_up_after_one_that_contradicts(path):
    same = SheetBegun("same", "d", "m", 4)
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush(limit_s=PATIENCE_S)
        with holding(path):
            for fact in (same, same, *[Attended("test_shot")] * 600):
                ledger.put(fact)
            fill_the_disk(ledger)
        assert ledger.flush(limit_s=PATIENCE_S)
    assert rows(path, "SELECT count(*) FROM attended") == [(600,)]
    assert rows(path, "SELECT count(*) FROM sheet") == [(1,)]


def test_facts_wait_while_the_file_system_takes_no_change(path, monkeypatch):
    """A disk that is read-only refuses more than SQLite's own calls; the thread goes on."""
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush(limit_s=PATIENCE_S)

        def refused(self, mode):
            raise OSError(errno.EROFS, "Read-only file system")

        monkeypatch.setattr(Path, "chmod", refused)
        fill_the_disk(ledger)
        for _ in range(600):
            ledger.put(Attended("test_shot"))
        while ledger.trouble is None or "read-only" not in str(ledger.trouble):
            assert not ledger.flush(limit_s=0.02)
        monkeypatch.undo()
        assert ledger.flush(limit_s=PATIENCE_S)
        assert ledger.trouble is None
    assert rows(path, "SELECT count(*) FROM attended") == [(600,)]


def test_a_fact_that_contradicts_the_ledger_does_not_keep_the_others_from_it(path, caplog):
    same = SheetBegun("same", "d", "m", 4)
    keep(path, SessionBegan("en"), same, same, SessionEnded("printed"))
    assert rows(path, "SELECT count(*) FROM sheet") == [(1,)]
    assert rows(path, "SELECT ending FROM session") == [("printed",)]
    assert "cannot hold a SheetBegun" in caplog.text
