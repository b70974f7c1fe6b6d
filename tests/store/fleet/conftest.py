"""An office's database and a booth that sends it its facts, over a wire that can be cut."""

from contextlib import ExitStack, closing
from datetime import date

import pytest

from kiosk.store.fleet.office import BoothStanding, Office
from kiosk.store.fleet.sender import Sender
from kiosk.store.ledger import Bookkeeper
from tests.support.fleet_lab import office_of
from tests.support.manual_clock import ManualClock
from tests.support.postgres_lab import wire

DAY = date(2026, 3, 1)


@pytest.fixture
def office(server):
    return office_of(server)


@pytest.fixture
def cable(server):
    with wire(server) as laid:
        yield laid


@pytest.fixture
def path(tmp_path):
    return tmp_path / "state" / "ledger.sqlite3"


@pytest.fixture
def run(office, cable, path):
    """Return a function that opens a booth's ledger and its sender; both are closed at the end."""
    url = cable.url(office.add_booth("north 1"))
    with ExitStack() as closed:

        def opened(look_s=0.02, standing=lambda: BoothStanding("north", 40, 10)):
            clock = ManualClock(3600.0, DAY)
            ledger = closed.enter_context(
                closing(Bookkeeper(path, clock, lambda key: "unknown", retry_s=0.01, is_sent=True))
            )
            sender = closed.enter_context(closing(Sender(Office(url), "north 1", ledger, standing, clock, look_s)))
            return ledger, sender

        yield opened
