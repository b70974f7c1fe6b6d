"""A ledger that another program or booth holds: facts wait, and the shop goes on."""

import threading
from contextlib import closing

import pytest

from kiosk.core.session.facts import Attended, SessionBegan, SessionEnded
from kiosk.errors import LedgerBusy, LedgerShared
from kiosk.store.ledger import bookkeeper
from tests.support.ledger_lab import a_day, holding, opened, rows


def test_two_booths_do_not_share_a_ledger(path):
    with closing(opened(path)), pytest.raises(LedgerShared, match="Another running booth uses the ledger"):
        opened(path)
    opened(path).close()


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
