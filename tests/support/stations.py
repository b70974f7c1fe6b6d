"""What stations that share a roster do in tests: meet the server, and print whom they may."""

import uuid
from contextlib import closing

from kiosk.core.event.roster import Person
from kiosk.errors import BadgePrinted, HeldElsewhere
from kiosk.store.roster.database import Database
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import Station
from tests.support.manual_clock import ManualClock
from tests.support.postgres_lab import Server


def meet(station: Station) -> None:
    """Reach the server where it is lost, and meet it, as the two threads of a desk do."""
    station.reconnect()
    station.beat()


def person(number: int) -> Person:
    """Return the guest with a number."""
    key = f"P{number}"
    return Person(key, {"id": key, "name": f"Guest Number {number}"})


def every_badge(url: str) -> dict[str, list[tuple[str, str]]]:
    """Return the station and the state of each person's badges, as the server has them."""
    with closing(Database(url)) as database:
        everybody = Roster(database, "office", ManualClock()).everybody()
        return {each.person.id: [(badge.station, badge.state) for badge in each.badges] for each in everybody}


def printable(station: Station) -> list[str]:
    """Print all whom a station may print now, and return their ids."""
    done = []
    for number in range(10):
        try:
            station.end(station.begin(f"P{number}", with_photo=False), "printed")
        except (HeldElsewhere, BadgePrinted):
            continue
        done.append(f"P{number}")
    return done


def can_alone(station: Station, key: str) -> bool:
    """Return whether a station may print a person without the server."""
    return station._copy.may_print(key)


def event_of_ten(server: Server) -> str:
    """Set up an event of ten people in a database of its own, and return its address."""
    url = server.database(f"event_{uuid.uuid4().hex[:12]}")
    with closing(Database(url)) as database:
        Roster(database, "office", ManualClock()).import_list([person(number) for number in range(10)])
    return url
