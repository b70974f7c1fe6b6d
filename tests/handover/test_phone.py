"""A phone takes the file over HTTP: by its own code, once, and nothing else is there."""

import contextlib
import os
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from kiosk.handover.keeper import MOST_FETCHES
from kiosk.i18n import available
from kiosk.page.guard import BURST
from tests.support.handover_lab import LIMIT_S, NAME, Phone, eventually, handed, picture
from tests.support.memory_lab import found_in, marks_of


def memory_files(pid):
    """Return the files without a name that a process has open."""
    names = []
    for each in Path(f"/proc/{pid}/fd").iterdir():
        with contextlib.suppress(FileNotFoundError):
            names += [str(each.readlink())] if "memfd" in str(each.readlink()) else []
    return names


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as free:
        return free.getsockname()[1]


@pytest.fixture
def file():
    with handed(picture()) as of:
        yield of


def test_a_phone_takes_the_file_and_nobody_after_it(file):
    phone = file.opened()
    status, headers, page = phone.ask(phone.page)
    assert (status, headers["content-type"]) == (200, "text/html; charset=utf-8")
    assert f'href="{phone.page[1:]}/{NAME}.jpg"' in page.decode()
    status, headers, body = phone.ask(phone.file)
    assert (status, headers["content-type"], body) == (200, "image/jpeg", picture())
    assert headers["content-disposition"] == f'attachment; filename="{NAME}.jpg"'
    file.until("taken")
    assert [phone.status(path) for path in (phone.page, phone.file)] == [404, 404]


def test_nothing_else_is_there(file):
    file.until("kept")
    closed = Phone(f"http://127.0.0.1:{file.file._port}/{'A' * 26}")
    assert closed.status("/") == closed.status("/x") == closed.status(f"//{NAME}.jpg") == 404
    phone = file.opened()
    wrong = f"{phone.page[:-1]}{'A' if phone.page[-1] != 'A' else 'B'}"
    paths = ["/", "/favicon.ico", wrong, f"{wrong}/{NAME}.jpg", f"{phone.page}/other.jpg", phone.page[:-1], "/%ff%00"]
    assert {phone.status(path) for path in paths} == {404}
    assert {phone.status(phone.file, method) for method in ("POST", "PUT", "DELETE", "OPTIONS")} == {404}


def test_every_answer_forbids_what_it_does_not_need_and_sets_no_cookie(file):
    phone = file.opened()
    for path in ("/", phone.page, phone.file):
        _, headers, _ = phone.ask(path)
        assert headers["cache-control"] == "no-store"
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["content-security-policy"].startswith("default-src 'none'; style-src 'sha256-")
        assert not {"set-cookie", "server", "access-control-allow-origin"} & {name.lower() for name in headers}


@pytest.mark.parametrize("language", ["ar", "de"])
def test_the_page_is_in_the_sitters_language(file, language):
    assert language in available()
    phone = file.opened(language)
    page = phone.ask(phone.page)[2].decode()
    assert f'lang="{language}" dir="{"rtl" if language == "ar" else "ltr"}"' in page
    assert "file." not in page
    assert "http" not in page, "nothing comes from elsewhere"


def test_a_code_is_good_for_one_sitters_file_alone():
    port = free_port()
    with handed(picture(1), port) as first:
        before = first.opened()
        assert before.status(before.page) == 200
    with pytest.raises(ConnectionRefusedError):
        before.status(before.page)
    with handed(picture(2), port) as second:
        after = second.opened()
        assert before.page != after.page
        assert [before.status(path) for path in (before.page, before.file)] == [404, 404]
        assert after.ask(after.file)[2] == picture(2)


def test_another_code_closes_the_one_before(file):
    before, after = file.opened(), file.opened()
    assert (before.status(before.page), after.status(after.page)) == (404, 200)


def test_a_phone_that_loses_the_network_asks_again_but_not_for_ever(file):
    phone = file.opened()
    for _ in range(MOST_FETCHES - 1):
        with socket.create_connection(("127.0.0.1", phone.port)) as lost:
            lost.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
            lost.sendall(f"GET {phone.file} HTTP/1.1\r\nHost: booth\r\n\r\n".encode())
            assert lost.recv(100)
    assert phone.ask(phone.file, "HEAD")[1]["content-length"] == str(len(picture()))
    assert phone.ask(phone.file)[2] == picture()
    file.until("taken")
    assert "lost" not in file.said


def test_a_file_is_sent_a_few_times_only(file):
    phone = file.opened()
    with contextlib.ExitStack() as open_:
        for number in range(MOST_FETCHES + 1):
            asker = open_.enter_context(socket.socket())
            asker.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            asker.bind((f"127.0.0.{2 + number}", 0))
            asker.connect(("127.0.0.1", phone.port))
            asker.sendall(f"GET {phone.file} HTTP/1.1\r\nHost: booth\r\n\r\n".encode())
            answer = asker.recv(12)
            assert answer == (b"HTTP/1.1 200" if number < MOST_FETCHES else b"HTTP/1.1 404"), number


def test_a_phone_that_reads_slowly_keeps_nobody_from_the_file_and_is_not_waited_for(file):
    phone = file.opened()
    with socket.socket() as slow:
        slow.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        slow.bind(("127.0.0.2", 0))
        slow.connect(("127.0.0.1", phone.port))
        slow.sendall(f"GET {phone.file} HTTP/1.1\r\nHost: booth\r\n\r\n".encode())
        assert slow.recv(12) == b"HTTP/1.1 200"
        assert file.file.poll() == [], "a file that is on its way is not taken"
        assert phone.ask(phone.file)[2] == picture()
        file.until("taken")
        slow.settimeout(LIMIT_S)
        received = 0
        with contextlib.suppress(ConnectionError):
            while part := slow.recv(1 << 16):
                received += len(part)
        assert received < len(picture()), "the rest is not sent any more"


def test_a_file_is_gone_after_its_time():
    with handed(picture(), keep_s=0.5) as file:
        phone = file.opened()
        file.until("late")
        assert phone.status(phone.page) == 404
        assert eventually(lambda: not memory_files(file.file.process.pid))


def test_too_many_requests_are_refused(file):
    phone = file.opened()
    assert any(phone.status("/") == 429 for _ in range(50 * BURST)), "however slowly a busy machine asks"


def test_a_taken_file_is_in_no_memory(file):
    phone, pid, marks = file.opened(), file.file.process.pid, marks_of(picture())
    assert memory_files(pid)
    assert not memory_files(os.getpid())
    assert phone.ask(phone.file)[2] == picture()
    file.until("taken")
    assert eventually(lambda: not memory_files(pid))
    assert eventually(lambda: found_in(pid, marks) == 0)


def test_a_killed_process_loses_the_file_and_says_so(file):
    phone = file.opened()
    os.kill(file.file.process.pid, signal.SIGKILL)
    assert file.until("lost") == "lost"
    assert eventually(lambda: file.file.process.is_gone)
    with pytest.raises(ConnectionError):
        phone.status(phone.page)


def test_the_end_ends_the_process_at_once(file):
    phone = file.opened()
    file.file.end()
    assert eventually(lambda: file.file.process.is_gone)
    with pytest.raises(ConnectionError):
        phone.status(phone.page)


BOOTH = """
import time
from tests.support.handover_lab import *
with handed(picture()) as of:
    of.opened()
    print(of.file.process.pid, flush=True)
    time.sleep(600)
"""


def test_nothing_is_left_of_a_booth_that_is_cut_off():
    with subprocess.Popen([sys.executable, "-c", BOOTH], stdout=subprocess.PIPE, text=True) as booth:
        pid = int(booth.stdout.readline())
        assert Path(f"/proc/{pid}").exists()
        booth.kill()
        assert eventually(lambda: not Path(f"/proc/{pid}/maps").exists() or not Path(f"/proc/{pid}/maps").read_text())


def test_with_a_certificate_it_goes_over_https(tmp_path):
    """The certificate is made by OpenSSL's own command."""
    paths = {"certificate": tmp_path / "certificate.pem", "key": tmp_path / "key.pem"}
    make = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2"]
    names = ["-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost"]
    files = ["-keyout", paths["key"], "-out", paths["certificate"]]
    subprocess.run([*make, *names, *files], check=True, capture_output=True)
    with handed(picture(), names=("localhost",), **paths) as file:
        link = file.opened().link
        assert link.startswith("HTTPS://LOCALHOST:")
        trusted = ssl.create_default_context(cafile=paths["certificate"])
        with urllib.request.urlopen(f"{link}/{NAME}.jpg", context=trusted, timeout=LIMIT_S) as answer:
            assert answer.read() == picture()
        file.until("taken")


def test_a_booth_without_its_network_says_so():
    with handed(picture(), free_port()) as first, handed(picture(), first.file._port) as second:
        assert second.file.go("phone", "en") == "offline"
        second.until("kept")


def test_silence_on_the_connection_is_no_end(file):
    phone = file.opened()
    with socket.create_connection(("127.0.0.1", phone.port)):
        time.sleep(0.1)
        assert phone.ask(phone.file)[2] == picture()
