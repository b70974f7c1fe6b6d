"""A roster's server that falls silent, each way that it can: a pulled cable, a stuck process, a refused connection."""

import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing, nullcontext

import pytest

from kiosk.errors import RosterUnreachable
from kiosk.store.roster.database import PEOPLE, Database
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import Station
from tests.support.cases import slow_but
from tests.support.manual_clock import ManualClock
from tests.support.network_lab import link, permitted
from tests.support.stations import event_of_ten, meet
from tests.support.unhurried import FOR_EVER_S, turns_until

ALONE_WITHIN_S = 5.0
"""The target is 4 s, on a machine that does nothing else."""


@pytest.fixture
def url(server):
    return event_of_ten(server)


@pytest.fixture(params=["cable", "process"])
def silenced(request, server, url):
    """Return the server's address, and what silences it."""
    with ExitStack() as stack:
        if request.param == "process":
            yield url, lambda: stack.enter_context(server.stuck())
        elif not permitted():
            pytest.skip("needs network namespaces")
        else:
            laid = stack.enter_context(link(f"{server.folder}/.s.PGSQL.5432"))
            yield laid.url(url), laid.down


def in_time(ask):
    """Return what an answer is, and after how many seconds; an answer that never comes fails."""
    pool = ThreadPoolExecutor(1)
    try:
        answer = pool.submit(ask)
        took_s = turns_until(answer.done)
        return answer.result(), took_s
    finally:
        pool.shutdown(wait=False)


@pytest.mark.parametrize("asked", slow_but(["begin"], ["find", "beat", "begin"]))
def test_a_station_is_alone_at_once_when_its_server_falls_silent(silenced, tmp_path, asked):
    address, silence = silenced
    with closing(Station(address, f"sqlite:///{tmp_path / 'one.db'}", "one", ManualClock())) as station:
        meet(station)
        assert station.online
        silence()
        asks = {
            "find": lambda: station.find("P3"),
            "beat": station.beat,
            "begin": lambda: station.begin("P3", with_photo=False),
        }
        _, took_s = in_time(asks[asked])
        assert took_s < ALONE_WITHIN_S
        assert not station.online
        (found,), took_s = in_time(lambda: station.find("P3"))
        assert took_s < 1.0, "from its copy"
        assert bool(found.badges) == (asked == "begin")


def test_a_server_that_is_not_reached_is_given_up(silenced, tmp_path):
    address, silence = silenced
    with closing(Station(address, f"sqlite:///{tmp_path / 'one.db'}", "one", ManualClock())) as station:
        silence()
        _, took_s = in_time(station.reconnect)
        assert took_s < ALONE_WITHIN_S
        assert not station.online


def test_what_a_lost_station_has_locked_is_free_again(url):
    """A station that is cut off in the middle of a transaction keeps nobody else's guest from a badge."""
    lost, other = Database(url), Database(url)
    with closing(other), closing(lost), nullcontext(Roster(other, "two", ManualClock())) as two:
        left_open = lost._engine.connect()
        left_open.execute(PEOPLE.select().where(PEOPLE.c.id == "P3").with_for_update())
        began_s = time.monotonic()
        while time.monotonic() - began_s < FOR_EVER_S:
            try:
                two.begin("P3", with_photo=False)
                break
            except RosterUnreachable:
                continue
        assert two.find("P3")[0].badges
        left_open.invalidate()
        left_open.close()
