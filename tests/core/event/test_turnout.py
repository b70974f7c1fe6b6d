"""An event counted by hand: four people, five badges, two stations."""

from datetime import UTC, datetime, timedelta

import pytest

from kiosk.core.event.roster import Badge, Expected, Person
from kiosk.core.event.turnout import turnout

NINE = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


def badge(key, number, station, state, from_s, to_s, with_photo=True):
    arrived = NINE + timedelta(seconds=from_s)
    return Badge(key, number, station, state, with_photo, arrived, arrived, NINE + timedelta(seconds=to_s))


def expected(key, name, *badges, walk_in=False):
    return Expected(Person(key, {"id": key, "name": name}), walk_in, badges)


EVENT = [
    expected("1", "Ada", badge("1", 1, "east", "printed", 0, 30)),
    expected("2", "Edith", badge("2", 1, "east", "failed", 60, 70), badge("2", 2, "west", "printed", 100, 190)),
    expected(
        "3",
        "Grace",
        badge("3", 1, "west", "printed", 2000, 2030),
        badge("3", 2, "west", "printed", 2700, 2760, with_photo=False),
        walk_in=True,
    ),
    expected("4", "Ágnes"),
]


def test_people_and_badges_are_counted():
    counted = turnout(EVENT)
    assert (counted.expected, counted.walk_ins, counted.arrived, counted.printed) == (4, 1, 3, 4)
    assert (counted.reprints, counted.with_photo, counted.missing) == (1, 2, ("Ágnes",))


def test_a_station_tells_its_median_minutes_from_the_desk_to_the_badge():
    east, west = turnout(EVENT).stations
    assert (east.station, east.badges, east.failed, east.minutes_each) == ("east", 1, 1, 0.5)
    assert (west.badges, west.failed) == (3, 0)
    assert west.minutes_each == pytest.approx(1.0)  # of 90, 30 and 60 seconds


def test_badges_are_counted_by_the_quarter_with_the_empty_ones():
    slots = turnout(EVENT).by_slot
    assert [f"{slot:%H:%M}" for slot in slots] == ["09:00", "09:15", "09:30", "09:45"]
    assert list(slots.values()) == [2, 0, 1, 1]


def test_nobody_yet():
    counted = turnout([expected("4", "Ágnes")])
    assert (counted.arrived, counted.stations, dict(counted.by_slot)) == (0, (), {})
