"""The heartbeat, heard on a real socket as systemd hears it: sd_notify(3), sd_watchdog_enabled(3)."""

import os
import socket

import pytest

from kiosk.system.systemd import make_heartbeat
from tests.support.manual_clock import ManualClock


@pytest.fixture(params=["file", "abstract"])
def ear(request, tmp_path):
    name = str(tmp_path / "notify") if request.param == "file" else f"@holdstill-test-{os.getpid()}"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listening:
        listening.bind("\0" + name[1:] if name.startswith("@") else name)
        listening.setblocking(False)
        yield name, listening


def heard(listening):
    messages = []
    while True:
        try:
            messages += listening.recv(4096).decode().splitlines()
        except BlockingIOError:
            return messages


def test_it_is_ready_with_the_first_tick_and_beats_several_times_a_limit(ear):
    name, listening = ear
    clock = ManualClock()
    heart = make_heartbeat(clock, {"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "10000000"})
    assert heard(listening) == []
    heart.beat("welcome")
    assert heard(listening) == ["READY=1", "STATUS=welcome", "WATCHDOG=1"]
    for _ in range(300):
        clock.sleep(1 / 30)
        heart.beat("welcome")
    beats = heard(listening)
    assert set(beats) == {"WATCHDOG=1"}
    assert 3 <= len(beats) <= 4
    heart.beat("align")
    assert heard(listening) == ["STATUS=align"]
    heart.stop()
    assert heard(listening) == ["STOPPING=1"]


def test_a_loop_that_does_not_tick_is_not_said_to_live(ear):
    name, listening = ear
    clock = ManualClock()
    make_heartbeat(clock, {"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "10000000"}).beat("welcome")
    heard(listening)
    clock.sleep(60.0)
    assert heard(listening) == []


def test_another_process_watchdog_is_left_alone(ear):
    name, listening = ear
    clock = ManualClock()
    heart = make_heartbeat(clock, {"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "1000000", "WATCHDOG_PID": "1"})
    heart.beat("welcome")
    heard(listening)
    clock.sleep(5.0)
    heart.beat("welcome")
    assert heard(listening) == []


@pytest.mark.parametrize("environment", [{}, {"NOTIFY_SOCKET": "/nowhere/notify"}])
def test_where_nobody_listens_nothing_happens(environment):
    make_heartbeat(ManualClock(), environment).beat("welcome")
