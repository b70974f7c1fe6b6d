"""The command `holdstill booth` as its service runs it: heard by systemd, logged, alone, and never mute."""

import contextlib
import json
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "demo"
LIMIT_S = 120.0


@pytest.fixture
def settings(tmp_path):
    text = (DEMO / "booth.toml").read_text(encoding="utf-8")
    text = text.replace('"sitter"', f'"{DEMO / "sitter"}"').replace('"out/', f'"{tmp_path}/')
    path = tmp_path / "booth.toml"
    path.write_text(text + '\n[logs]\nfolder = "log"\n', encoding="utf-8")
    return path


def started(settings, notify):
    environment = {**os.environ, "NOTIFY_SOCKET": str(notify), "WATCHDOG_USEC": "2000000"}
    command = [sys.executable, "-m", "kiosk.cli", "booth", "--headless", "--settings", settings]
    return subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, text=True)


def heard_until(listening, words):
    heard = []
    listening.settimeout(1.0)
    end_s = time.monotonic() + LIMIT_S
    while words not in heard:
        assert time.monotonic() < end_s, heard
        try:
            heard += listening.recv(4096).decode().splitlines()
        except TimeoutError:
            continue
    return heard


def make_room(listening):
    """Take what has come: a full socket loses the next message."""
    listening.settimeout(0.0)
    with contextlib.suppress(BlockingIOError):
        while listening.recv(4096):
            continue


@pytest.fixture
def listening(tmp_path):
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as ear:
        ear.bind(str(tmp_path / "notify"))
        yield ear


def test_a_booth_is_ready_beats_is_alone_and_is_logged(settings, listening, tmp_path):
    with started(settings, tmp_path / "notify") as booth:
        heard = heard_until(listening, "READY=1") + heard_until(listening, "WATCHDOG=1")
        assert any(message.startswith("STATUS=") for message in heard)
        second = subprocess.run(
            [sys.executable, "-m", "kiosk.cli", "booth", "--headless", "--settings", settings],
            capture_output=True,
            text=True,
            check=False,
        )
        assert second.returncode == 8
        assert "booth.session_folder: " in second.stderr
        assert "is the session folder of a booth that is already running" in second.stderr
        make_room(listening)
        booth.send_signal(signal.SIGTERM)
        heard_until(listening, "STOPPING=1")
        booth.communicate(timeout=LIMIT_S)
    assert booth.returncode == 0
    lines = [json.loads(line) for line in (tmp_path / "log" / "holdstill.jsonl").read_text().splitlines()]
    said = [line["says"] for line in lines]
    assert any(words.endswith("is open") for words in said)
    assert said[-1] == "it is closed"
    assert any("the camera is simulated" in words for words in said)


def test_a_free_booth_that_is_to_take_a_change_ends_regularly(settings, listening, tmp_path):
    with started(settings, tmp_path / "notify") as booth:
        while "STATUS=welcome" not in heard_until(listening, "WATCHDOG=1"):
            continue
        booth.send_signal(signal.SIGHUP)
        heard_until(listening, "STOPPING=1")
        booth.communicate(timeout=LIMIT_S)
    assert booth.returncode == 0


def test_settings_that_are_refused_are_told_on_the_screen_and_the_booth_ends_with_their_code(
    settings, listening, tmp_path
):
    settings.write_text(settings.read_text().replace("[camera]", "[camera]\nspeed = 1", 1))
    with started(settings, tmp_path / "notify") as booth:
        heard = heard_until(listening, "READY=1")
        assert "STATUS=out_of_order" in heard + heard_until(listening, "WATCHDOG=1")
        booth.send_signal(signal.SIGTERM)
        _, told = booth.communicate(timeout=LIMIT_S)
    assert booth.returncode == 8
    assert f"{settings}: camera.speed: unknown key." in told
