"""A ledger that another program or booth holds: facts wait, and the shop goes on."""

import threading
from contextlib import closing

import pytest

from kiosk.core.session.facts import Attended, SessionBegan, SessionEnded
from kiosk.errors import LedgerBusy, LedgerShared
from kiosk.store.ledger import bookkeeper
from tests.support.ledger_lab import PATIENCE_S, a_day, holding, opened, rows
from tests.support.page_lab import eventually


def test_two_booths_do_not_share_a_ledger(path):
    with closing(opened(path)), pytest.raises(LedgerShared, match="Another running booth uses the ledger"):
        opened(path)
    opened(path).close()


def test_facts_wait_while_another_program_holds_the_ledger(path):
    with closing(opened(path)) as ledger:
        ledger.put(SessionBegan("en"))
        assert ledger.flush(limit_s=PATIENCE_S)
        with holding(path):
            ledger.put(SessionEnded("abandoned"))
            ledger.put(Attended("paper_changed"))
            assert eventually(lambda: isinstance(ledger.trouble, LedgerBusy))
            assert not ledger.flush(limit_s=0.2)
        assert ledger.flush(limit_s=PATIENCE_S)
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
        assert ledger.flush(limit_s=PATIENCE_S)
    assert rows(path, "SELECT count(*) FROM session") == [(201,)]


def test_the_oldest_facts_go_first_when_nothing_is_ever_written(path, monkeypatch, caplog):
    monkeypatch.setattr(bookkeeper, "MOST_FACTS", 3)
    with closing(opened(path)) as ledger:
        write, tries = ledger._book.write, []
        monkeypatch.setattr(ledger._book, "write", lambda batch: (tries.append(batch), write(batch)))
        with holding(path):
            for act in ("closed", "opened", "paper_changed", "test_shot"):
                ledger.put(Attended(act))
            assert eventually(lambda: tries and len(tries[-1]) == 3 and tries[-1][0].fact == Attended("opened"))
        assert ledger.flush(limit_s=PATIENCE_S)
    assert rows(path, "SELECT act FROM attended") == [("opened",), ("paper_changed",), ("test_shot",)]
    assert "the oldest fact is lost" in caplog.text


def test_putting_a_fact_never_waits_for_the_disk(path):
    """The writing thread is held by the lock of another program; `put` comes back on the caller's own thread."""
    with closing(opened(path)) as ledger, holding(path):
        putting = threading.Thread(target=lambda: [ledger.put(Attended("test_shot")) for _ in range(1000)])
        putting.start()
        putting.join(PATIENCE_S)
        assert not putting.is_alive()
        assert not ledger.flush(limit_s=0.0)
