"""The booth's clock: days are those of the place where the booth stands."""

import time

import pytest

from kiosk.system.clock import SystemClock


@pytest.fixture
def in_zone(monkeypatch):
    """Set the zone of this process, as a machine's is set."""

    def set_zone(name):
        monkeypatch.setenv("TZ", name)
        time.tzset()

    yield set_zone
    monkeypatch.undo()
    time.tzset()


def test_the_day_is_that_of_the_place(in_zone):
    """The two zones lie 26 hours apart: no moment belongs to the same day in both (POSIX reverses the signs)."""
    days = []
    for zone in ("<-12>12", "<+14>-14"):
        in_zone(zone)
        days.append(SystemClock().today())
        assert days[-1] == SystemClock().now().date()
    assert days[0] < days[1]
