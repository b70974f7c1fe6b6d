"""The path of a ledger, and a bookkeeper that does not wait for other programs."""

import pytest

from kiosk.store.ledger import file


@pytest.fixture
def path(tmp_path):
    return tmp_path / "ledger.sqlite3"


@pytest.fixture(autouse=True)
def no_patience(monkeypatch):
    monkeypatch.setattr(file, "BUSY_S", 0.0)
