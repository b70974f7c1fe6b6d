"""Orders given on the attendant's page, and those that it refuses."""

import re
from datetime import UTC, datetime

import pytest

from kiosk.core.attendant.state import Record, Reprint, TellSession
from kiosk.core.session.events import CallAnswered, Released
from kiosk.core.session.facts import Attended
from kiosk.core.view.kept_sheet import KeptSheet
from tests.support.page_lab import Visitor, eventually
from tests.support.pin import PIN


def test_behind_the_pin_stands_how_the_booth_stands_and_a_sheet_is_released(desk, visitor):
    assert visitor.sign_in(PIN) == 303
    text = visitor.ask("GET", "/")[1]
    assert "A sheet waits for its release." in text
    assert "A sitter asks for you." in text
    assert visitor.ask("POST", "/order", {"order": "release", "token": visitor.token()})[0] == 303
    assert visitor.ask("POST", "/order", {"order": "answer", "token": visitor.token()})[0] == 303
    assert eventually(lambda: TellSession(Released()) in desk.done and TellSession(CallAnswered()) in desk.done)
    assert Record(Attended("signed_in")) in desk.done


def test_the_booth_is_shut_and_opened_from_the_page(desk, visitor):
    visitor.sign_in(PIN)
    visitor.ask("POST", "/order", {"order": "shut", "token": visitor.token()})
    assert eventually(lambda: desk.desk.desk.is_shut)
    assert eventually(lambda: "Open again" in visitor.ask("GET", "/state")[1])
    visitor.ask("POST", "/order", {"order": "open_again", "token": visitor.token()})
    assert eventually(lambda: not desk.desk.desk.is_shut)


@pytest.mark.parametrize("order", ["override", "end", "test_shot", "open", "show", "start_again", "", "nonsense"])
def test_nothing_else_can_be_ordered(desk, visitor, order):
    visitor.sign_in(PIN)
    assert visitor.ask("POST", "/order", {"order": order, "token": visitor.token()})[0] == 400


def test_an_order_without_its_pages_token_is_refused(desk, visitor):
    visitor.sign_in(PIN)
    other = Visitor(desk.port)
    other.sign_in(PIN)
    for token in ("", "x", other.token()):
        assert visitor.ask("POST", "/order", {"order": "release", "token": token})[0] == 403
    assert visitor.ask("POST", "/sign-out", {"token": "x"})[0] == 403
    assert TellSession(Released()) not in desk.done


SHEET = KeptSheet("0123456789abcdef", "United Kingdom passport", datetime(2026, 11, 25, 14, 5, tzinfo=UTC))


def test_closing_is_asked_for_twice_and_the_question_changes_nothing(desk, visitor):
    assert visitor.ask("GET", "/sure?order=shut")[0] == 303, "nobody is asked anything before the PIN"
    visitor.sign_in(PIN)
    page = visitor.ask("GET", "/")[1]
    assert re.search(r'action="/sure">\s*<button type="submit" name="order" value="shut"', page)
    status, asked = visitor.ask("GET", "/sure?order=shut")
    assert (status, "Put the booth out of order?" in asked, 'value="shut"' in asked) == (200, True, True)
    assert not desk.desk.desk.is_shut
    for order in ("release", "open_again", "end", ""):
        assert visitor.ask("GET", f"/sure?order={order}")[0] == 400


def test_a_kept_sheet_is_printed_again_from_the_page(desk, visitor):
    with desk.between_turns:
        desk.desk.offer((SHEET,))
    visitor.sign_in(PIN)
    assert eventually(lambda: "Print again: 14:05" in visitor.ask("GET", "/state")[1])
    value = f"reprint:{SHEET.key}"
    assert "Print this sheet again?" in visitor.ask("GET", f"/sure?order={value}")[1]
    assert visitor.ask("POST", "/order", {"order": value, "token": "x"})[0] == 403
    assert visitor.ask("POST", "/order", {"order": value, "token": visitor.token()})[0] == 303
    assert eventually(lambda: Reprint(SHEET.key) in desk.done)
    for gone in ("reprint:fedcba9876543210", "reprint:", "reprint"):
        assert visitor.ask("POST", "/order", {"order": gone, "token": visitor.token()})[0] == 400
    assert desk.done.count(Reprint(SHEET.key)) == 1
