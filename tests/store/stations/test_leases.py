"""Whose guest a person is: handed over, kept by a lease, free after it or by an attendant's word."""

from contextlib import closing

import pytest

from kiosk.cli import main
from kiosk.core.event.roster import Person
from kiosk.errors import BadgePrinted, HeldElsewhere, PerhapsPrinted
from kiosk.store.roster.database import Database
from kiosk.store.roster.leases import Leases
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import LEASE, Station
from tests.support.manual_clock import ManualClock
from tests.support.postgres_lab import pass_time
from tests.support.stations import can_alone, every_badge, meet


def test_a_person_of_the_others_share_is_given_over_when_both_are_there(stations, wires, url):
    one, two = stations
    wires[0].cut()
    theirs = next(key for key in (f"P{number}" for number in range(10)) if not can_alone(one, key))
    wires[0].mend()
    meet(one)
    meet(one)
    with pytest.raises(HeldElsewhere, match="belongs to the station two"):
        one.begin(theirs, with_photo=False)
    meet(two)
    one.end(one.begin(theirs, with_photo=False), "printed")
    wires[1].cut()
    with pytest.raises(HeldElsewhere):
        two.begin(theirs, with_photo=False)
    assert every_badge(url)[theirs] == [("one", "printed")]


def test_a_station_that_is_away_keeps_its_share_until_the_lease_ends(stations, wires, url, clock):
    one, two = stations
    wires[0].cut()
    mine = next(f"P{number}" for number in range(10) if can_alone(one, f"P{number}"))
    for _ in range(2):
        with pytest.raises(HeldElsewhere, match="belongs to the station one"):
            two.begin(mine, with_photo=False)
        meet(two)
    clock.sleep(LEASE.total_seconds() + 1)
    with pytest.raises(HeldElsewhere, match="the network was lost for too long"):
        one.begin(mine, with_photo=False)
    pass_time(url, LEASE.total_seconds() + 1)
    with pytest.raises(PerhapsPrinted, match="may have had a badge from one"):
        two.begin(mine, with_photo=False)
    (found,) = two.find(mine)
    assert (found.perhaps_at, found.may_have_badge, found.badges) == ("one", True, ())
    two.end(two.begin(mine, with_photo=False, reprint=True), "printed")
    assert every_badge(url)[mine] == [("two", "printed")]


def test_a_guest_of_a_silent_station_is_not_printed_twice_unasked_and_no_badge_is_dropped(stations, wires, url, clock):
    """One prints alone; its lease ends; at two the attendant wants the badge all the same; then one answers again."""
    one, two = stations
    wires[0].cut()
    mine, other = [f"P{number}" for number in range(10) if can_alone(one, f"P{number}")][:2]
    one.end(one.begin(mine, with_photo=False), "printed")
    late = one.begin(other, with_photo=False)
    clock.sleep(LEASE.total_seconds() + 1)
    pass_time(url, LEASE.total_seconds() + 1)
    meet(two)
    for key in (mine, other):
        with pytest.raises(PerhapsPrinted):
            two.begin(key, with_photo=False)
        two.end(two.begin(key, with_photo=False, reprint=True), "printed")
    wires[0].mend()
    meet(one)
    one.end(late, "printed")
    for station in (one, two, one):
        meet(station)
    for key in (mine, other):
        assert every_badge(url)[key] == [("two", "printed"), ("one", "printed")]
        assert [badge.station for badge in one.find(key)[0].badges] == ["two", "one"]
        wires[0].cut()
        assert [badge.station for badge in one.find(key)[0].badges] == ["two", "one"], "in its copy as well"


def test_a_station_that_comes_back_forgets_whom_others_took_before_it_prints_alone_again(
    stations, wires, url, clock, monkeypatch
):
    one, two = stations
    wires[0].cut()
    mine = next(f"P{number}" for number in range(10) if can_alone(one, f"P{number}"))
    meet(one)
    clock.sleep(LEASE.total_seconds() + 1)
    pass_time(url, LEASE.total_seconds() + 1)
    two.end(two.begin(mine, with_photo=False, reprint=True), "printed")
    wires[0].mend()
    renew = Leases.renew
    monkeypatch.setattr(Leases, "renew", lambda leases: (renew(leases), wires[0].cut()))
    meet(one)
    assert not one.online
    with pytest.raises((HeldElsewhere, BadgePrinted)):
        one.begin(mine, with_photo=False)


def test_an_attendant_releases_a_dead_station_and_its_guests_are_printed_unasked(stations, wires, url, capsys):
    one, two = stations
    mine = next(f"P{number}" for number in range(10) if can_alone(one, f"P{number}"))
    on_its_way = next(key for key in (f"P{number}" for number in range(10)) if can_alone(one, key) and key != mine)
    one.begin(on_its_way, with_photo=False)
    wires[0].cut()
    release = ["roster", "release", "one", "--roster", url]
    assert main(release) == 26
    assert "may print alone until" in capsys.readouterr().err
    assert main([*release, "--off"]) == 0
    assert "5 guests of one are free" in capsys.readouterr().out
    two.end(two.begin(mine, with_photo=False), "printed")
    with pytest.raises(BadgePrinted):
        two.begin(on_its_way, with_photo=False)
    assert every_badge(url)[on_its_way] == [("one", "unknown")]


def test_a_walk_in_of_one_station_is_printed_at_another_before_its_copy_knows_them(stations):
    one, two = stations
    one.add_walk_in(Person("W1", {"id": "W1", "name": "Noor Walk"}))
    with pytest.raises(HeldElsewhere):
        two.begin("W1", with_photo=False)
    one.beat()
    badge = two.begin("W1", with_photo=False)
    two.end(badge, "printed")
    assert [each.state for each in two.find("W1")[0].badges] == ["printed"]


def test_the_badge_of_a_station_that_was_killed_is_settled(stations, wires, url, clock, tmp_path):
    one, _ = stations
    mine = next(f"P{number}" for number in range(10) if can_alone(one, f"P{number}"))
    one.begin(mine, with_photo=False)
    one.close()
    with closing(Station(wires[0].url(url), f"sqlite:///{tmp_path / 'one.db'}", "one", clock)) as again:
        meet(again)
        assert every_badge(url)[mine] == [("one", "unknown")]


def test_the_badge_of_a_station_that_never_comes_back_is_settled_by_the_others(stations, url):
    one, two = stations
    mine = next(f"P{number}" for number in range(10) if can_alone(one, f"P{number}"))
    one.begin(mine, with_photo=False)
    meet(two)
    assert every_badge(url)[mine] == [("one", "begun")]
    pass_time(url, LEASE.total_seconds() + 1)
    meet(two)
    assert every_badge(url)[mine] == [("one", "unknown")]


def test_the_office_does_not_print_whom_a_station_holds(stations, url):
    with closing(Database(url)) as database, pytest.raises(HeldElsewhere, match="belongs to the station"):
        Roster(database, "office", ManualClock()).begin("P0", with_photo=False)
