"""Where the attendant's page is served: its settings, its port, its certificate."""

import subprocess
import sys

import pytest

from kiosk.errors import PageRefused, SettingsRefused
from kiosk.page.child_process import Interpreter
from kiosk.settings import read_settings
from tests.settings.test_settings import GOOD, written
from tests.support.network_lab import permitted
from tests.support.no_network import KILLED, run_without_network, supported
from tests.support.page_lab import counter
from tests.support.pin import CHEAP_HASH, PIN


def test_with_a_certificate_it_is_https_and_the_cookie_secure(tmp_path):
    """The certificate is made, and the connection checked, by OpenSSL's own command."""
    names = ["-keyout", tmp_path / "key.pem", "-out", tmp_path / "certificate.pem", "-subj", "/CN=booth.test"]
    make = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2"]
    subprocess.run([*make, *names], check=True, capture_output=True)
    where = {"certificate": tmp_path / "certificate.pem", "key": tmp_path / "key.pem"}
    with counter(tmp_path, start=Interpreter, **where) as of:
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
        ('metrics_hash = "a token itself"', "pattern"),
        ("port = 80", "greater than or equal to 1024"),
        ('secret = "x"', "unknown key"),
    ],
)
def test_settings_that_would_expose_the_page_are_refused(tmp_path, page, detail):
    text = f'{GOOD}\n[attendant]\npin_hash = "{CHEAP_HASH}"\n[attendant.page]\n{page}\n'
    with pytest.raises(SettingsRefused, match=detail):
        read_settings(written(tmp_path, text))


def test_no_page_without_a_pin(tmp_path):
    with pytest.raises(SettingsRefused, match="needs a pin_hash"):
        read_settings(written(tmp_path, f"{GOOD}\n[attendant.page]\n"))


def test_a_port_that_is_taken_is_told_in_a_sentence(tmp_path, desk):
    with pytest.raises(PageRefused, match="in use"), counter(tmp_path, port=desk.port):
        pass


ABSENT = """
import socket, subprocess
from kiosk.page.messages import Endpoint, Serve
from kiosk.page.supervisor import SupervisedPage
from kiosk.system.clock import SystemClock
subprocess.run(["ip", "link", "set", "lo", "up"], check=True)
for address in ("198.18.0.7", "2001:db8::7"):
    page = SupervisedPage(Serve(Endpoint(address, 0), "Lantern"), SystemClock())
    try:
        socket.create_connection((address, page.port), 1.0)
        print("somebody else has the address")
    except OSError:
        subprocess.run(["ip", "addr", "add", address, "dev", "lo", *["nodad"] * (":" in address)], check=True)
    socket.create_connection((address, page.port), 30.0).close()
    page.close()
print("reached")
"""


@pytest.mark.skipif(not permitted(), reason="needs network namespaces")
def test_a_booth_without_its_network_opens_and_the_page_is_reached_once_the_address_is_there():
    command = ["unshare", "-n", sys.executable, "-c", ABSENT]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert (done.returncode, done.stdout) == (0, "reached\n"), done.stderr


def test_a_certificate_that_is_none_is_refused_before_the_booth_opens(tmp_path):
    (tmp_path / "certificate.pem").write_text("no certificate")
    where = {"certificate": tmp_path / "certificate.pem", "key": tmp_path / "certificate.pem"}
    with pytest.raises(PageRefused), counter(tmp_path, **where):
        pass


@pytest.mark.skipif(not supported(), reason="needs seccomp")
def test_a_page_that_is_asked_for_listens_and_the_kernel_would_see_it(tmp_path):
    """The counterpart of the whole session under the same filter, which has no page and makes no socket."""
    serve = (
        "from kiosk.page.messages import Endpoint, Serve; from kiosk.page.supervisor import SupervisedPage; "
        "from kiosk.system.clock import SystemClock\n"
        "SupervisedPage(Serve(Endpoint('127.0.0.1', 0), 'Lantern'), SystemClock()); print('served')"
    )
    assert run_without_network(["-c", serve]).returncode == KILLED
