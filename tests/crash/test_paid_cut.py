"""The process is killed while a sitter pays: the ledger's sums stay those of the payment unit's own books.

The unit's books are a file that is written before the booth hears of anything, as a terminal's own memory is.
"""

import json
import random
import sqlite3
from contextlib import closing

import pytest

from kiosk.devices.sim.payment import COIN
from tests.crash.booth import CARD, COINS, CUT_BEFORE, CUT_TORN, PAID, PAID_JAMMED, UNIT
from tests.crash.test_power_cut import Server

PRICE = 950
PARTS = 4


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    with closing(Server(tmp_path_factory.mktemp("cut"))) as server:
        yield server


def balanced(server, folder, mode, *, again=False):
    """Start the booth again, and hold the ledger against the unit's books and the sheets that came out."""
    killed, answer = server.ask("restart", folder, again, mode)
    assert not killed
    assert answer["left"] == []
    books = folder / UNIT / "books.json"
    kept = json.loads(books.read_text()).values() if books.exists() else ()
    printed = len(list((folder / "prints").glob("*.json")))
    with closing(sqlite3.connect(folder / "ledger" / "ledger.sqlite3")) as ledger:
        assert ledger.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        paid, refunded = ledger.execute("SELECT total(paid), total(refunded) FROM payment").fetchone()
        (spent,) = ledger.execute("SELECT total(price) FROM sheet WHERE ended = 'printed'").fetchone()
        assert ledger.execute("SELECT count(*) FROM payment WHERE ended IS NULL").fetchone() == (0,)
    assert spent == PRICE * printed, "a sheet came out that nobody paid for, or was paid for and did not come"
    assert refunded == sum(booked["refunded"] for booked in kept)
    truly = sum(booked["paid"] for booked in kept)
    if mode == COINS:
        assert truly - COIN <= paid <= truly, "only the coin can be lost that falls as the power fails"
        assert paid - spent >= 0
    else:
        assert paid == truly
        assert paid == spent + refunded, "whoever paid has a sheet or the money back"
    return printed


@pytest.mark.parametrize("mode", PAID)
def test_a_session_that_nothing_cuts_off_balances(server, tmp_path, mode):
    killed, writes = server.ask("cut_at_write", tmp_path, 0, CUT_BEFORE, mode)
    assert not killed
    assert writes > 40
    assert balanced(server, tmp_path, mode, again=mode != PAID_JAMMED) == (0 if mode == PAID_JAMMED else 2)


@pytest.mark.parametrize(
    ("mode", "state"), [(CARD, "paying"), (CARD, "printing"), (COINS, "paying"), (PAID_JAMMED, "money_back")]
)
def test_cut_off_while_money_is_under_way(server, tmp_path, mode, state):
    killed, _ = server.ask("cut_at_state", tmp_path, state, mode)
    assert killed
    balanced(server, tmp_path, mode)


@pytest.mark.parametrize("mode", PAID)
def test_cut_off_at_some_writes_of_a_payment(server, tmp_path, mode):
    _, writes = server.ask("cut_at_write", tmp_path / "whole", 0, CUT_BEFORE, mode)
    for nth in random.Random(mode).sample(range(writes // 2, writes), 4):
        folder = tmp_path / str(nth)
        server.ask("cut_at_write", folder, nth, CUT_BEFORE if nth % 2 else CUT_TORN, mode)
        balanced(server, folder, mode)


@pytest.mark.slow
@pytest.mark.parametrize("part", range(PARTS))
@pytest.mark.parametrize("how", [CUT_TORN, CUT_BEFORE])
@pytest.mark.parametrize("mode", PAID)
def test_cut_off_at_every_write_of_a_payment(server, tmp_path, mode, how, part):
    _, writes = server.ask("cut_at_write", tmp_path / "whole", 0, CUT_BEFORE, mode)
    for nth in range(1 + part, writes + 1, PARTS):
        folder = tmp_path / str(nth)
        server.ask("cut_at_write", folder, nth, how, mode)
        balanced(server, folder, mode)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(30))
def test_cut_off_again_while_money_is_put_in_order(server, tmp_path, seed):
    """Each start may be cut off too, while it asks the unit and pays back."""
    chance = random.Random(seed)
    mode = PAID[seed % len(PAID)]
    server.ask("cut_at_write", tmp_path, chance.randint(60, 160), chance.choice((CUT_BEFORE, CUT_TORN)), mode)
    for _ in range(3):
        server.ask("cut_at_start", tmp_path, chance.randint(1, 40), chance.choice((CUT_BEFORE, CUT_TORN)), mode)
    balanced(server, tmp_path, mode)
