"""Signing in to the attendant's page: the PIN, its lock, and how a visit ends."""

import time

from kiosk.core.attendant.pin_lock import FIRST_WAIT_S, FREE_TRIES
from kiosk.page.guard import IDLE_S, MOST_SIGNED_IN, Guard
from kiosk.store.desk_memory import DeskMemory
from tests.support.pin import PIN

WRONG = "480218"


def test_nothing_is_told_before_the_pin(visitor):
    status, text = visitor.ask("GET", "/")
    assert (status, "PIN" in text, "A sheet" in text) == (200, True, False)
    assert visitor.ask("GET", "/state")[0] == 401
    assert visitor.ask("POST", "/order", {"order": "release", "token": ""})[0] == 401


def test_wrong_pins_lock_the_page_and_leave_the_booths_own_desk_alone(desk, visitor):
    for _ in range(FREE_TRIES):
        assert visitor.sign_in(WRONG) in (403, 429)
    assert desk.desk.desk.page_lock.wrong == FREE_TRIES
    assert visitor.sign_in(PIN) == 429, "even the right one"
    assert visitor.cookie == ""
    assert desk.desk.desk.page_lock.left_s(desk.clock.now_s()) == FIRST_WAIT_S
    assert desk.desk.desk.lock.left_s(desk.clock.now_s()) == 0.0
    desk.clock.sleep(FIRST_WAIT_S)
    assert visitor.sign_in(PIN) == 303


def test_a_wrong_pin_is_on_the_disk_before_it_is_answered(tmp_path, desk, visitor, monkeypatch):
    """Whoever ends the program on seeing the answer finds the try counted; the disk is slow here."""
    put = DeskMemory.put
    monkeypatch.setattr(DeskMemory, "put", lambda memory, kept: (time.sleep(0.2), put(memory, kept)))
    for tries in range(1, FREE_TRIES + 1):
        visitor.sign_in(WRONG)
        assert DeskMemory(tmp_path / "desk.json").get().wrong_on_page == tries


def test_a_phone_that_is_left_alone_is_signed_out(desk, visitor):
    visitor.sign_in(PIN)
    assert "Sign out" in visitor.ask("GET", "/")[1]
    desk.clock.sleep(IDLE_S - 1)
    assert visitor.ask("GET", "/state")[0] == 200, "which is the page's own question, and no touch"
    desk.clock.sleep(2.0)
    assert visitor.ask("GET", "/state")[0] == 401


def test_signing_out_forgets_the_cookie(visitor):
    visitor.sign_in(PIN)
    kept = visitor.cookie
    assert visitor.ask("POST", "/sign-out", {"token": visitor.token()})[0] == 303
    visitor.cookie = kept
    assert visitor.ask("GET", "/state")[0] == 401


def test_so_many_are_signed_in_at_most():
    guard = Guard(lambda: 1.0)
    tokens = [guard.sign_in("192.0.2.1") for _ in range(MOST_SIGNED_IN + 1)]
    assert [guard.who(token) is not None for token in tokens].count(True) == MOST_SIGNED_IN
    assert guard.who(tokens[-1]) is not None
