"""The attendant's page as a client meets it: PIN, lock, tokens, origins, limits, headers; on a real socket."""

import contextlib
import http.client
import re
import subprocess
import time
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from kiosk.core.attendant.pin_lock import FIRST_WAIT_S, FREE_TRIES
from kiosk.core.attendant.state import Record, Reprint, TellSession
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.events import CallAnswered, Released
from kiosk.core.session.facts import Attended
from kiosk.core.view.kept_sheet import KeptSheet
from kiosk.errors import PageRefused, SettingsRefused
from kiosk.page.guard import BURST, IDLE_S, MOST_SIGNED_IN, Guard
from kiosk.settings import read_settings
from kiosk.store.desk_memory import DeskMemory
from kiosk.system.pin_hash import hash_pin
from tests.settings.test_settings import GOOD, written
from tests.support.no_network import KILLED, run_without_network, supported
from tests.support.page_lab import Visitor, counter
from tests.support.played import review

PIN, WRONG = "480217", "480218"
HASH = hash_pin(PIN)
WAITING = replace(review(), state="release", called=True)
HOUSE = BoothConfig((WAITING.document,))


@pytest.fixture
def desk(tmp_path):
    with counter(tmp_path, HOUSE, HASH) as of:
        of.session = WAITING
        yield of


@pytest.fixture
def visitor(desk):
    return Visitor(desk.port)


def eventually(check):
    """Wait for the thread that plays the loop."""
    for _ in range(600):
        if check():
            return True
        time.sleep(0.01)
    return False


def test_nothing_is_told_before_the_pin(visitor):
    status, text = visitor.ask("GET", "/")
    assert (status, "PIN" in text, "A sheet" in text) == (200, True, False)
    assert visitor.ask("GET", "/state")[0] == 401
    assert visitor.ask("POST", "/order", {"order": "release", "token": ""})[0] == 401


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


def test_an_order_without_its_pages_token_is_refused(desk, visitor):
    visitor.sign_in(PIN)
    other = Visitor(desk.port)
    other.sign_in(PIN)
    for token in ("", "x", other.token()):
        assert visitor.ask("POST", "/order", {"order": "release", "token": token})[0] == 403
    assert visitor.ask("POST", "/sign-out", {"token": "x"})[0] == 403
    assert TellSession(Released()) not in desk.done


def test_a_form_from_another_site_is_refused(desk, visitor):
    assert visitor.ask("POST", "/sign-in", {"pin": PIN}, Origin="http://elsewhere.test")[0] == 403
    assert visitor.ask("POST", "/sign-in", {"pin": PIN}, Origin=f"http://127.0.0.1:{desk.port}")[0] == 303


def test_the_page_answers_to_its_own_names_only(desk, visitor):
    """So that a name that somebody else has pointed here (DNS rebinding) shows nothing."""
    assert visitor.ask("GET", "/", Host="elsewhere.test")[0] == 400
    assert visitor.ask("GET", "/", Host=f"localhost:{desk.port}")[0] == 200


@pytest.mark.parametrize("address", ["::1", "0:0:0:0:0:0:0:1"])
def test_an_address_of_ipv6_is_answered(tmp_path, address):
    with counter(tmp_path, HOUSE, HASH, address=address) as of:
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
    tokens = [guard.sign_in() for _ in range(MOST_SIGNED_IN + 1)]
    assert [guard.who(token) is not None for token in tokens].count(True) == MOST_SIGNED_IN
    assert guard.who(tokens[-1]) is not None


def test_with_a_certificate_it_is_https_and_the_cookie_secure(tmp_path):
    """The certificate is made, and the connection checked, by OpenSSL's own command."""
    names = ["-keyout", tmp_path / "key.pem", "-out", tmp_path / "certificate.pem", "-subj", "/CN=booth.test"]
    make = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2"]
    subprocess.run([*make, *names], check=True, capture_output=True)
    where = {"certificate": tmp_path / "certificate.pem", "key": tmp_path / "key.pem"}
    with counter(tmp_path, HOUSE, HASH, **where) as of:
        lines = (
            "POST /sign-in HTTP/1.1",
            "Host: 127.0.0.1",
            "Content-Length: 10",
            "Connection: close",
            "",
            f"pin={PIN}",
        )
        command = ["openssl", "s_client", "-quiet", "-connect", f"127.0.0.1:{of.port}", "-CAfile", where["certificate"]]
        told = subprocess.run(
            [*command, "-verify_return_error", "-ign_eof"],
            input="\r\n".join([*lines, f"pin={PIN}"]),
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        ).stdout
    assert "303" in told.splitlines()[0]
    cookie = told.lower().partition("set-cookie:")[2].splitlines()[0]
    assert cookie.strip().startswith("__host-desk=")
    assert "secure" in cookie
    assert "path=/" in cookie
    assert "domain" not in cookie
    assert "strict-transport-security: max-age=31536000" in told.lower()


def test_without_a_certificate_no_browser_is_asked_for_https(visitor):
    visitor.ask("GET", "/")
    assert "strict-transport-security" not in visitor.headers


@pytest.mark.parametrize(
    ("page", "detail"),
    [
        ('address = "192.0.2.7"', "certificate"),
        ('address = "booth"', "no IP address"),
        ('certificate = "c.pem"', "go together"),
        ("port = 80", "greater than or equal to 1024"),
        ('secret = "x"', "unknown key"),
    ],
)
def test_settings_that_would_expose_the_page_are_refused(tmp_path, page, detail):
    text = f'{GOOD}\n[attendant]\npin_hash = "{HASH}"\n[attendant.page]\n{page}\n'
    with pytest.raises(SettingsRefused, match=detail):
        read_settings(written(tmp_path, text))


def test_no_page_without_a_pin(tmp_path):
    with pytest.raises(SettingsRefused, match="needs a pin_hash"):
        read_settings(written(tmp_path, f"{GOOD}\n[attendant.page]\n"))


def test_a_port_that_is_taken_is_told_in_a_sentence(tmp_path, desk):
    with pytest.raises(PageRefused, match="in use"), counter(tmp_path, HOUSE, HASH, port=desk.port):
        pass


@pytest.mark.skipif(not supported(), reason="needs seccomp")
def test_a_page_that_is_asked_for_listens_and_the_kernel_would_see_it(tmp_path):
    """The counterpart of the whole session under the same filter, which has no page and makes no socket."""
    serve = (
        "from tests.support.manual_clock import ManualClock; from kiosk.page.bridge import Bridge; "
        "from kiosk.page.server import Endpoint, serve\n"
        "with serve(Bridge(), ManualClock(), Endpoint('127.0.0.1', 0), 'Lantern'): print('served')"
    )
    assert run_without_network(["-c", serve]).returncode == KILLED


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
