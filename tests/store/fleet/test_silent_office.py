"""An office's server that falls silent: the booth's loop never waits for it, and its end hardly."""

import time
from contextlib import ExitStack, closing

import pytest

from kiosk.core.session.facts import SessionBegan
from kiosk.errors import OfficeUnreachable
from kiosk.store.fleet.office import BoothStanding, Office
from kiosk.store.fleet.sender import Sender
from kiosk.store.ledger import Bookkeeper
from kiosk.store.server import ANSWER_S
from tests.store.fleet.conftest import DAY
from tests.support.manual_clock import ManualClock
from tests.support.network_lab import link, permitted
from tests.support.page_lab import eventually
from tests.support.unhurried import turns_until

GIVEN_UP_S = 10.0
"""Twice three seconds, for connecting and for the transaction, on a machine that is busy with other things."""


@pytest.fixture(params=["cable", "process"])
def silenced(request, server, office):
    """Return a booth's address of the office, and what silences it."""
    url = office.add_booth("north 1")
    with ExitStack() as stack:
        if request.param == "process":
            yield url, lambda: stack.enter_context(server.stuck())
        elif not permitted():
            pytest.skip("needs network namespaces")
        else:
            laid = stack.enter_context(link(f"{server.folder}/.s.PGSQL.5432"))
            yield laid.url(url), laid.down


def test_a_silent_office_is_given_up_and_nobody_waits_for_it(silenced, path):
    url, silence = silenced
    with closing(Bookkeeper(path, ManualClock(0.0, DAY), lambda key: "unknown", is_sent=True)) as ledger:
        sender = Sender(Office(url), "north 1", ledger, BoothStanding, ManualClock(), 0.02)
        ledger.put(SessionBegan("en"))
        assert eventually(lambda: sender._greeted_s is not None and ledger.unsent.count == 0)
        silence()
        began_s = time.monotonic()
        for _ in range(300):
            ledger.put(SessionBegan("en"))
        assert time.monotonic() - began_s < ANSWER_S, "the loop only queues facts"
        assert ledger.flush(60.0), "the booth's own ledger is written"
        assert turns_until(lambda: isinstance(sender.trouble, OfficeUnreachable)) < GIVEN_UP_S
        assert ledger.unsent.count == 300
        began_s = time.monotonic()
        sender.close()
        assert time.monotonic() - began_s < GIVEN_UP_S
