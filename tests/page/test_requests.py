"""What the attendant's page lets in and what it sends: origins, names, limits, headers."""

import contextlib
import http.client
import re

import pytest

from kiosk.page.guard import BURST, Guard
from tests.support.page_lab import counter
from tests.support.pin import PIN


def test_a_form_from_another_site_is_refused(desk, visitor):
    assert visitor.ask("POST", "/sign-in", {"pin": PIN}, Origin="http://elsewhere.test")[0] == 403
    assert visitor.ask("POST", "/sign-in", {"pin": PIN}, Origin=f"http://127.0.0.1:{desk.port}")[0] == 303


def test_the_page_answers_to_its_own_names_only(desk, visitor):
    """So that a name that somebody else has pointed here (DNS rebinding) shows nothing."""
    assert visitor.ask("GET", "/", Host="elsewhere.test")[0] == 400
    assert visitor.ask("GET", "/", Host=f"localhost:{desk.port}")[0] == 200


@pytest.mark.parametrize("address", ["::1", "0:0:0:0:0:0:0:1"])
def test_an_address_of_ipv6_is_answered(tmp_path, address):
    with counter(tmp_path, address=address) as of:
        for host, status in (("[::1]", 200), ("[::2]", 400)):
            with contextlib.closing(http.client.HTTPConnection("::1", of.port, timeout=30)) as connection:
                connection.request("GET", "/", headers={"Host": f"{host}:{of.port}"})
                assert connection.getresponse().status == status


def test_a_flood_is_turned_away_and_time_mends_it(desk, visitor):
    answers = [visitor.ask("GET", "/")[0] for _ in range(BURST + 5)]
    assert answers == [200] * BURST + [429] * 5
    assert visitor.headers["retry-after"]
    desk.clock.sleep(5.0)
    assert visitor.ask("GET", "/")[0] == 200


def test_a_device_that_takes_many_addresses_of_its_ipv6_network_asks_no_more_often():
    guard = Guard(lambda: 1.0)
    asked = [guard.may_ask(f"2001:db8::{number:x}") for number in range(BURST + 5)]
    assert asked == [True] * BURST + [False] * 5
    assert guard.may_ask("2001:db8:0:1::1"), "another network"


def test_a_form_too_large_is_not_read(visitor):
    assert visitor.ask("POST", "/sign-in", {"pin": "1" * 5000})[0] == 413


def test_the_cookie_and_the_headers_are_strict(visitor):
    visitor.sign_in(PIN)
    told = visitor.headers["set-cookie"].lower()
    assert "httponly" in told
    assert "samesite=strict" in told
    visitor.ask("GET", "/")
    policy = visitor.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "img-src" not in policy, "no picture can be shown"
    assert visitor.headers["cache-control"] == "no-store"
    assert "server" not in visitor.headers


def test_no_picture_and_nothing_inline_is_in_the_page(visitor):
    visitor.sign_in(PIN)
    for path in ("/", "/state", "/page.css", "/page.js"):
        text = visitor.ask("GET", path)[1]
        assert not re.search(r"<img|<style|<script>|style=|onclick|data:|url\(|https?://", text), path
