"""A station that has lost the network: what it may do with its copy, and what it brings back."""

import multiprocessing
from contextlib import closing, suppress

import pytest

from kiosk.core.event.roster import Person
from kiosk.errors import BadgePrinted, HeldElsewhere, RosterUnreachable
from kiosk.store.roster.station import Station
from tests.support.manual_clock import ManualClock
from tests.support.stations import can_alone, every_badge, meet, printable


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
