"""Two stations on one server, each with a wire to it that can be cut."""

from contextlib import closing

import pytest

from kiosk.store.roster.station import Station
from tests.support.manual_clock import ManualClock
from tests.support.postgres_lab import wire
from tests.support.stations import event_of_ten, meet


@pytest.fixture
def url(server):
    return event_of_ten(server)


@pytest.fixture
def wires(server):
    with wire(server) as one, wire(server) as two:
        yield one, two


@pytest.fixture
def clock():
    return ManualClock()


@pytest.fixture
def stations(url, wires, clock, tmp_path):
    """Two stations that have met the server often enough to hold equal shares."""
    with (
        closing(Station(wires[0].url(url), f"sqlite:///{tmp_path / 'one.db'}", "one", clock)) as one,
        closing(Station(wires[1].url(url), f"sqlite:///{tmp_path / 'two.db'}", "two", clock)) as two,
    ):
        for _ in range(3):
            meet(one)
            meet(two)
        yield one, two
