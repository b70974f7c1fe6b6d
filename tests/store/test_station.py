"""Stations that share a roster: a real server, a wire to it for each station that can be cut, real processes."""

import multiprocessing
import uuid
from contextlib import closing, suppress

import pytest

from kiosk.cli import main
from kiosk.core.event.roster import Person
from kiosk.errors import BadgePrinted, HeldElsewhere, PerhapsPrinted, RosterUnreachable
from kiosk.store.roster.database import Database
from kiosk.store.roster.leases import Leases
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import LEASE, Station
from tests.support.manual_clock import ManualClock
from tests.support.postgres_lab import pass_time, postgres, wire


@pytest.fixture(scope="module")
def server():
    with postgres() as server:
        yield server


@pytest.fixture
def url(server):
    """Set up an event of ten people."""
    url = server.database(f"event_{uuid.uuid4().hex[:12]}")
    database = Database(url)
    Roster(database, "office", ManualClock()).import_list([person(number) for number in range(10)])
    database.close()
    return url


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


def meet(station):
    """Reach the server where it is lost, and meet it, as the desk has two threads do."""
    station.reconnect()
    station.beat()


def person(number):
    key = f"P{number}"
    return Person(key, {"id": key, "name": f"Guest Number {number}"})


def every_badge(url):
    with closing(Database(url)) as database:
        everybody = Roster(database, "office", ManualClock()).everybody()
        return {each.person.id: [(badge.station, badge.state) for badge in each.badges] for each in everybody}


def printable(station):
    """Print all whom a station may print now, and return them."""
    done = []
    for number in range(10):
        try:
            station.end(station.begin(f"P{number}", with_photo=False), "printed")
        except (HeldElsewhere, BadgePrinted):
            continue
        done.append(f"P{number}")
    return done


def test_alone_each_station_prints_its_own_half_and_nobody_twice(stations, wires, url):
    one, two = stations
    wires[0].cut()
    wires[1].cut()
    by_one, by_two = printable(one), printable(two)
    assert (len(by_one), len(by_two)) == (5, 5)
    assert not set(by_one) & set(by_two)
    assert (one.online, two.online) == (False, False)
    wires[0].mend()
    wires[1].mend()
    meet(one)
    meet(two)
    found = every_badge(url)
    assert all(found[key] == [("one", "printed")] for key in by_one)
    assert all(found[key] == [("two", "printed")] for key in by_two)


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


def can_alone(station, key):
    return station._copy.may_print(key)


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


def test_what_was_printed_is_known_to_whoever_gets_the_person(stations, wires):
    """A person handed over after a badge is not printed once more by a station that then loses the network."""
    one, two = stations
    mine = next(f"P{number}" for number in range(10) if can_alone(one, f"P{number}"))
    one.end(one.begin(mine, with_photo=False), "printed")
    with pytest.raises(HeldElsewhere):
        two.begin(mine, with_photo=False, reprint=True)
    meet(one)
    meet(two)
    wires[1].cut()
    with pytest.raises((BadgePrinted, HeldElsewhere)):
        two.begin(mine, with_photo=False)


def test_the_office_does_not_print_whom_a_station_holds(stations, url):
    with closing(Database(url)) as database, pytest.raises(HeldElsewhere, match="belongs to the station"):
        Roster(database, "office", ManualClock()).begin("P0", with_photo=False)


def test_a_walk_in_made_alone_reaches_the_others(stations, wires):
    one, two = stations
    wires[0].cut()
    meet(one)
    one.add_walk_in(Person("one-1", {"id": "one-1", "name": "Noor Walk"}))
    one.end(one.begin("one-1", with_photo=True), "printed")
    assert two.find("noor") == ()
    wires[0].mend()
    meet(one)
    (found,) = two.find("noor")
    assert found.walk_in
    assert found.printed.station == "one"


def test_the_copy_is_searched_when_the_network_is_lost(stations, wires):
    one, _ = stations
    wires[0].cut()
    assert [expected.person.id for expected in one.find("guest num 3")] == ["P3"]
    assert not one.online


def test_a_copy_outlives_its_station(stations, wires, url, clock, tmp_path):
    """A power cut at a station that is alone: what it printed is told by its next life."""
    one, _ = stations
    wires[0].cut()
    done = printable(one)
    one.close()
    wires[0].mend()
    with closing(Station(wires[0].url(url), f"sqlite:///{tmp_path / 'one.db'}", "one", clock)) as again:
        with pytest.raises(HeldElsewhere):
            again.begin(done[0], with_photo=False)
        meet(again)
        with pytest.raises(BadgePrinted):
            again.begin(done[0], with_photo=False)
    assert all(every_badge(url)[key] == [("one", "printed")] for key in done)


def test_two_processes_with_the_network_cut_in_the_middle_print_everybody_once(url, wires, tmp_path):
    """Both go through the whole list; each loses the network for a while at another place."""
    context = multiprocessing.get_context("spawn")
    names = ("one", "two")
    pipes = [context.Pipe() for _ in names]
    runs = [
        context.Process(target=work, args=(laid.url(url), str(tmp_path / f"{name}.db"), name, pipe[1]))
        for name, laid, pipe in zip(names, wires, pipes, strict=True)
    ]
    for run in runs:
        run.start()
    near = [pipe[0] for pipe in pipes]
    for turn in range(20):
        for index in (0, 1):
            if turn == 3 + 2 * index:
                wires[index].cut()
            if turn == 8 + 2 * index:
                wires[index].mend()
        for end in near:
            end.send("turn")
        for end in near:
            assert end.recv() == "done"
    for end in near:
        end.send("stop")
    for run in runs:
        run.join()
        assert run.exitcode == 0
    assert [len(badges) for badges in every_badge(url).values()] == [1] * 10


def work(url, copy, name, pipe):
    """Be a station that meets the server at each turn, if it can, and prints the badge of the next in its queue."""
    station = Station(url, f"sqlite:///{copy}", name, ManualClock())
    queue = [f"P{number}" for number in range(10)]
    if name == "two":
        queue.reverse()
    while pipe.recv() == "turn":
        meet(station)
        with suppress(HeldElsewhere, BadgePrinted):
            badge = station.begin(queue[0], with_photo=False)
            station.end(badge, "printed")
        if station.find(queue[0])[0].printed:
            queue = [*queue[1:], queue[0]]
        pipe.send("done")
    station.close()


def test_a_late_change_is_made_while_the_server_is_there_and_refused_alone(stations, wires):
    one, two = stations
    changed = Person("P3", {"id": "P3", "name": "Guest Number Three"})
    one.change(changed)
    assert two.person("P3").name == "Guest Number Three"
    wires[0].cut()
    meet(one)
    assert one.person("P3").name == "Guest Number Three", "its copy knows"
    with pytest.raises(RosterUnreachable, match="a change waits"):
        one.change(changed)
