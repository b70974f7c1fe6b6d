"""The event's desk before a server that does not answer, and a roster that cannot be asked."""

import socket
import sqlite3
import time
from contextlib import closing

import pytest

from kiosk.core.attendant.state import GuestsFound, GuestsNotSearched
from kiosk.core.event.roster import Person
from kiosk.core.session.events import Found
from kiosk.event.roster_worker import RosterWorker
from kiosk.store.roster.database import Database
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import Station
from tests.support.event_desk import DESIGN
from tests.support.inline_executor import InlineExecutor
from tests.support.manual_clock import ManualClock

PATIENCE_S = 60.0
"""Long for a search on a busy machine, and short beside the minutes that a queue of waiting beats takes."""


@pytest.fixture
def silent_server():
    """Take connections and say nothing, as a server does whose cable was pulled behind a switch."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield f"postgresql+psycopg://nobody@127.0.0.1:{server.getsockname()[1]}/event"


def answers(desk, kind):
    """Return the first answer of a kind."""
    end_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < end_s:
        for answer in desk.poll():
            if isinstance(answer, kind):
                return answer
        time.sleep(0.002)
    raise AssertionError(f"no {kind.__name__} within {PATIENCE_S} s")


def test_a_guest_is_found_while_the_server_is_silent(tmp_path, silent_server):
    clock = ManualClock()
    copy = f"sqlite:///{tmp_path / 'copy.db'}"
    with closing(Database(copy)) as database:
        Roster(database, "one", clock).import_list([Person("P1", {"id": "P1", "name": "Ada Lind"})])
    with closing(RosterWorker(DESIGN, Station(silent_server, copy, "one", clock), clock, None)) as desk:
        for _ in range(40):
            desk.poll()
            clock.sleep(1.0)
        desk.find("ada")
        assert [guest.id for guest in answers(desk, Found).search.guests] == ["P1"]
        assert len(desk._queries) <= 1, "no beat waits behind another"


def test_the_attendant_is_told_why_a_search_has_no_answer(tmp_path):
    clock = ManualClock()
    file = tmp_path / "event.db"
    with closing(
        RosterWorker(DESIGN, Roster(Database(f"sqlite:///{file}"), "one", clock), clock, None, InlineExecutor())
    ) as desk:
        desk.search_guests("ada")
        assert answers(desk, GuestsFound).guests == ()
        with closing(sqlite3.connect(file)) as connection:
            connection.execute("drop table badge")
        desk.search_guests("ada")
        told = answers(desk, GuestsNotSearched)
        assert told.query == "ada"
        assert "roster" in told.sentence
