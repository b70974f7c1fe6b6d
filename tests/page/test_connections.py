"""Devices on the page's network that open connections and say nothing, or say it slowly; on real sockets."""

import contextlib
import socket
import ssl
import subprocess

import pytest

from kiosk.core.session.booth_config import BoothConfig
from kiosk.page import connections, guard
from kiosk.page.connections import BURST, MOST_CONNECTIONS, MOST_OF_AN_ADDRESS
from tests.support.page_lab import Visitor, counter, eventually
from tests.support.pin import PIN

PATIENCE_S = 60.0
"""Long for a busy machine; nothing waits for so long when the page does as it should."""


@pytest.fixture
def served(tmp_path, monkeypatch):
    """Serve a page that ends no connection for its silence alone, before which a busy machine may not get round."""
    monkeypatch.setattr(connections, "REQUEST_S", PATIENCE_S)
    with counter(tmp_path, BoothConfig(())) as of:
        yield of


@pytest.fixture
def opened(served):
    """Open connections to the page from an address of this machine, all of which end with the test."""
    with contextlib.ExitStack() as stack:

        def connect(source, port=None):
            made = socket.create_connection(("127.0.0.1", port or served.port), PATIENCE_S, (source, 0))
            return stack.enter_context(made)

        yield connect


def is_open(connection):
    """Tell whether the page has left a silent connection open."""
    connection.settimeout(0.0)
    try:
        return connection.recv(1) != b""
    except BlockingIOError:
        return True
    except OSError:
        return False


def test_one_device_holds_few_connections_however_many_it_opens(opened):
    """Today's attack: about a thousand of them, and the program has no descriptor left and ends."""
    silent = [opened("127.0.0.9") for _ in range(10 * BURST)]
    assert eventually(lambda: sum(map(is_open, silent)) <= MOST_OF_AN_ADDRESS)


def test_many_devices_hold_a_bounded_number_together_and_the_attendant_gets_in(served, opened):
    silent = [opened(f"127.0.1.{device}") for device in range(1, 60) for _ in range(MOST_OF_AN_ADDRESS)]
    assert eventually(lambda: sum(map(is_open, silent)) <= MOST_CONNECTIONS)
    visitor = Visitor(served.port)
    assert visitor.ask("GET", "/")[0] == 200
    assert visitor.sign_in(PIN) == 303
    assert sum(map(is_open, silent)) >= MOST_CONNECTIONS - 3, "which were not ended for it, or hardly any"


def test_the_newest_connection_of_a_device_is_served_beside_its_silent_ones(served, opened):
    """A browser opens connections that it may need, and uses another one."""
    silent = [opened("127.0.0.1") for _ in range(MOST_OF_AN_ADDRESS)]
    assert Visitor(served.port).ask("GET", "/")[0] == 200
    assert [is_open(each) for each in silent] == [False, True, True, True]


def test_a_signed_in_attendant_is_not_driven_out_by_many_devices(served, opened):
    """More new connections than there is room for come while the attendant's request is on its way."""
    visitor = Visitor(served.port)
    assert visitor.sign_in(PIN) == 303
    slow = opened("127.0.0.1")
    slow.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n")
    silent = [opened(f"127.0.1.{device}") for device in range(1, 60) for _ in range(MOST_OF_AN_ADDRESS)]
    assert eventually(lambda: sum(map(is_open, silent)) <= MOST_CONNECTIONS)
    slow.sendall(b"Cookie: " + visitor.cookie.encode() + b"\r\n\r\n")
    assert slow.recv(100).startswith(b"HTTP/1.1 200")


def test_requests_that_are_none_fill_no_log(served, opened, caplog):
    with opened("127.0.0.1") as connection:
        connection.sendall(b"\x00\xff no request\r\n\r\n")
        assert connection.recv(100).startswith(b"HTTP/1.1 400")
    assert caplog.records == []


def test_a_form_that_breaks_off_is_no_fault_of_the_page(served, opened, caplog):
    with opened("127.0.0.1") as connection:
        connection.sendall(b"POST /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 10\r\n\r\npin=")
        assert Visitor(served.port).ask("GET", "/")[0] == 200
    assert not eventually(lambda: [record for record in caplog.records if record.exc_info], limit_s=6.0)


@pytest.mark.parametrize(
    "said",
    [
        b"",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n",
        b"POST /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 10\r\n\r\npin=",
        b"GET /page.css HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\nGET / HTTP/1.1\r\n",
    ],
    ids=["nothing", "half a head", "half a form", "half of the second request"],
)
def test_a_request_that_does_not_come_to_its_end_is_not_waited_for(opened, monkeypatch, said):
    monkeypatch.setattr(connections, "REQUEST_S", 0.3)
    slow = opened("127.0.0.1")
    slow.sendall(said)
    got = b""
    with contextlib.suppress(ConnectionResetError):
        while part := slow.recv(65536):
            got += part
    assert got.count(b"HTTP/1.1 200") == said.count(b"page.css")


def test_a_handshake_that_does_not_come_is_not_waited_for(tmp_path, opened, monkeypatch):
    monkeypatch.setattr(connections, "HANDSHAKE_S", 3.0)  # room for the one that comes
    names = ["-keyout", tmp_path / "key.pem", "-out", tmp_path / "certificate.pem", "-subj", "/CN=booth.test"]
    make = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2"]
    subprocess.run([*make, *names], check=True, capture_output=True)
    where = {"certificate": tmp_path / "certificate.pem", "key": tmp_path / "key.pem"}
    (tmp_path / "served").mkdir()
    with counter(tmp_path / "served", BoothConfig(()), **where) as of:
        silent = opened("127.0.0.1", of.port)
        with contextlib.suppress(ConnectionResetError):
            assert silent.recv(1) == b""
        trusting = ssl.create_default_context(cafile=where["certificate"])
        trusting.check_hostname = False
        with trusting.wrap_socket(opened("127.0.0.1", of.port)) as spoken:
            spoken.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
            assert b"200" in spoken.recv(100).partition(b"\r\n")[0]


def test_addresses_of_one_ipv6_network_are_one_device(tmp_path):
    """A device chooses the lower half of its address as it likes."""
    counted = guard.counted
    assert counted("2001:db8::1") == counted("2001:db8::ffff:1%eth0") != counted("2001:db8:0:1::1")
    assert counted("::ffff:192.0.2.1") != counted("::ffff:192.0.2.2")
    assert counted("192.0.2.1") != counted("192.0.2.2")
