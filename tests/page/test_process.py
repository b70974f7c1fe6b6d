"""The page's own process: it is started anew, gives way, ends with its booth, and never keeps the loop waiting."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.core.attendant.state import TellSession, TrialShot
from kiosk.core.session.events import Released
from kiosk.core.view.attendant import DeskIntent
from kiosk.page.child_process import Interpreter
from kiosk.page.connections import MOST_CONNECTIONS, MOST_OF_AN_ADDRESS
from kiosk.page.messages import Endpoint, Serve
from kiosk.page.supervisor import DELAYS_S, MOST_AT_ONCE, SILENT_S, SupervisedPage
from tests.support.manual_clock import ManualClock
from tests.support.memory_lab import found_in, known_picture, marks_of
from tests.support.page_lab import WAITING, Visitor, counter, eventually
from tests.support.pin import PIN

WHAT = Serve(Endpoint("127.0.0.1", 0), "Lantern")


@pytest.fixture
def apart(tmp_path):
    """Serve a desk's page in a process of its own."""
    with counter(tmp_path, start=Interpreter) as of:
        of.session = WAITING
        yield of


def lines(desk):
    return {line.name: line.words for line in desk.page._shown.lines}


def test_a_sheet_is_released_through_the_process(apart):
    visitor = Visitor(apart.port)
    assert visitor.sign_in("111222") == 403
    assert visitor.sign_in(PIN) == 303
    assert "A sheet waits for its release." in visitor.ask("GET", "/")[1]
    assert visitor.ask("POST", "/order", {"order": "release", "token": visitor.token()})[0] == 303
    assert eventually(lambda: TellSession(Released()) in apart.done)


def files_of(pid):
    """Return what a process has open besides the three usual files; one may be closed while it is looked at."""
    names = []
    for each in Path(f"/proc/{pid}/fd").iterdir():
        with contextlib.suppress(FileNotFoundError):
            names += [str(each.readlink())] if int(each.name) > 2 else []
    return names


def test_it_gives_way_and_holds_nothing_of_the_booths(apart):
    """It has inherited the channel and the listening socket; its event loop has a pair of its own."""
    Visitor(apart.port).ask("GET", "/")
    pid = apart.page.running.pid
    assert os.sched_getscheduler(pid) == os.SCHED_IDLE
    assert eventually(lambda: len([name for name in files_of(pid) if name.startswith("socket:")]) == 4)
    assert [name for name in files_of(pid) if name.startswith("/")] == []
    assert "numpy" not in Path(f"/proc/{pid}/maps").read_text()


def test_a_process_that_dies_is_started_anew_on_the_same_port_and_the_desk_says_so(apart):
    visitor = Visitor(apart.port)
    assert visitor.sign_in(PIN) == 303
    died = apart.page.running.pid
    os.kill(died, signal.SIGKILL)
    assert eventually(lambda: "Page" in lines(apart))
    assert "phones have to sign in again" in lines(apart)["Page"]
    apart.clock.sleep(DELAYS_S[0])
    assert visitor.ask("GET", "/")[0] == 200
    assert visitor.ask("GET", "/state")[0] == 401, "a sign-in is in the memory of the process alone"
    assert visitor.sign_in(PIN) == 303
    assert eventually(lambda: "Page" not in lines(apart))
    assert apart.page.running.pid != died


def test_a_process_that_hangs_keeps_nobody_waiting_and_is_replaced(apart):
    """The desk goes on turning while nobody reads what it publishes; the kernel's buffer is soon full."""
    assert eventually(lambda: apart.page._is_served)
    hung = apart.page.running.pid
    os.kill(hung, signal.SIGSTOP)
    for number in range(2000):
        apart.page._send(apart.page._shown)
        apart.page.answer(str(number), "wrong")
    assert apart.page.running.pid == hung
    apart.clock.sleep(SILENT_S + 1.0)
    assert eventually(lambda: apart.page.running is None)
    apart.clock.sleep(DELAYS_S[0])
    assert Visitor(apart.port).sign_in(PIN) == 303
    assert apart.page.running.pid != hung


def test_handshakes_that_do_not_come_leave_no_memory_behind(tmp_path):
    """Each has a buffer of a quarter of a megabyte, 75 MB in all."""
    names = ["-keyout", tmp_path / "key.pem", "-out", tmp_path / "certificate.pem", "-subj", "/CN=booth.test"]
    make = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2"]
    subprocess.run([*make, *names], check=True, capture_output=True)
    where = {"certificate": tmp_path / "certificate.pem", "key": tmp_path / "key.pem"}
    with counter(tmp_path, start=Interpreter, **where) as of:
        assert eventually(lambda: of.page._is_served)
        before_mb = resident_mb(of.page.running.pid)
        with contextlib.ExitStack() as silent:
            for number in range(300):
                source = f"127.0.7.{number // MOST_OF_AN_ADDRESS + 1}", 0
                silent.enter_context(socket.create_connection(("127.0.0.1", of.port), 60.0, source))
            assert eventually(lambda: len(files_of(of.page.running.pid)) > MOST_CONNECTIONS)
        assert eventually(lambda: len(files_of(of.page.running.pid)) < MOST_CONNECTIONS)
        assert eventually(lambda: resident_mb(of.page.running.pid) < before_mb + 10.0)


def resident_mb(pid):
    """Return the memory that a process holds (proc(5), statm)."""
    return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


@pytest.mark.skipif(not os.access("/proc/self/mem", os.R_OK), reason="needs /proc")
def test_no_picture_comes_into_the_process(apart):
    """The attendant looks at a test shot at the booth, while somebody is signed in on the page."""
    jpeg = known_picture(7, 400_000)
    visitor = Visitor(apart.port)
    assert visitor.sign_in(PIN) == 303
    with apart.between_turns:
        apart.desk.desk = replace(apart.desk.desk, page="shot", shot=TrialShot(("sharp",), jpeg))
        apart.session = replace(WAITING, called=False)
    assert eventually(lambda: "A sitter asks for you." not in visitor.ask("GET", "/")[1])
    assert found_in(os.getpid(), marks_of(jpeg)), "the search finds what is there"
    assert found_in(apart.page.running.pid, marks_of(jpeg)) == 0


@pytest.fixture
def page():
    """Supervise a page whose process the test plays, by a clock of the test."""
    clock, channels, ended = ManualClock(100.0), [], []

    class Played:
        is_gone = True

        def __init__(self, channel, listening):
            channels.append(channel.dup())

        def kill(self):
            ended.append(True)

        def wait(self, limit_s):
            pass

    of = SupervisedPage(WHAT, clock, Played)
    yield of, clock, channels, ended
    of.close()
    for channel in channels:
        channel.close()


def test_a_page_that_says_what_no_page_says_is_replaced(page):
    of, _, channels, ended = page
    channels[0].send(b'{"name": "no order"}')
    assert of.poll() == []
    assert (of.running, ended) == (None, [True])


def test_a_page_that_takes_much_memory_is_replaced_and_what_it_has_asked_is_done(page):
    of, _, channels, ended = page
    channels[0].send(b'{"resident_mb": 40.0}')
    assert (of.poll(), ended) == ([], [])
    channels[0].send(b'{"name": "release", "argument": ""}')
    channels[0].send(b'{"resident_mb": 300.0}')
    assert of.poll() == [DeskIntent("release")]
    assert (of.running, ended) == (None, [True])


def test_a_page_gone_mad_costs_the_frame_loop_little(page):
    of, _, channels, _ = page
    for _ in range(3 * MOST_AT_ONCE):
        channels[0].send(b'{"name": "release", "argument": ""}')
    assert of.poll() == [DeskIntent("release")] * MOST_AT_ONCE


def test_one_that_always_ends_is_started_ever_more_seldom(page):
    of, clock, channels, _ = page
    for delay_s in (*DELAYS_S, DELAYS_S[-1]):
        channels[-1].close()
        assert eventually(lambda: of.poll() == [] and of.running is None)
        clock.sleep(delay_s - 0.1)
        of.poll()
        assert of.running is None
        clock.sleep(0.1)
        of.poll()
        assert of.running is not None


def test_a_machine_without_room_for_a_process_is_asked_again(page):
    of, clock, channels, _ = page
    start = of._start

    def no_room(channel, listening):
        raise BlockingIOError(11, "Resource temporarily unavailable")

    of._start = no_room
    channels[-1].close()
    of.poll()
    clock.sleep(DELAYS_S[0])
    of.poll()
    assert of.running is None
    of._start = start
    clock.sleep(DELAYS_S[1])
    of.poll()
    assert of.running is not None


OWNER = """
import time
from kiosk.page.messages import Endpoint, Serve
from kiosk.page.supervisor import SupervisedPage
from kiosk.system.clock import SystemClock
page = SupervisedPage(Serve(Endpoint("127.0.0.1", 0), "Lantern"), SystemClock())
while not page._is_served:
    page.poll()
    time.sleep(0.01)
print(page.running.pid, flush=True)
time.sleep(600)
"""


def test_it_ends_with_its_booth_and_with_nothing_else():
    """A signal to all of the service's processes ends the booth in its own way first."""
    command = [sys.executable, "-c", OWNER]
    with subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True) as owner:
        child = int(owner.stdout.readline())
        for ending in (signal.SIGINT, signal.SIGTERM):
            os.kill(child, ending)
        time.sleep(0.5)
        assert is_running(child)
        owner.kill()
    assert eventually(lambda: not is_running(child))


def is_running(pid):
    try:
        return "\nState:\tZ" not in Path(f"/proc/{pid}/status").read_text()
    except FileNotFoundError:
        return False
