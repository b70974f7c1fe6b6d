"""The command `holdstill booth` as systemd would run it."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.support.page_lab import Visitor
from tests.support.pin import CHEAP_HASH, PIN

DEMO = Path(__file__).parents[2] / "demo"


@pytest.mark.slow
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_booth_that_is_told_to_end_wipes_and_ends_well(tmp_path, number):
    text = (DEMO / "booth.toml").read_text(encoding="utf-8")
    text = text.replace('"sitter"', f'"{DEMO / "sitter"}"').replace('"out/', f'"{tmp_path}/')
    settings = tmp_path / "booth.toml"
    settings.write_text(text, encoding="utf-8")
    session = tmp_path / "session"
    session.mkdir()
    (session / ".holdstill-session").touch()
    (session / "still.jpg").write_bytes(b"left by a crash")
    command = [sys.executable, "-m", "kiosk.cli", "-v", "booth", "--headless", "--settings", settings]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as booth:
        deadline = time.monotonic() + 60
        while (session / "still.jpg").exists():
            assert time.monotonic() < deadline
            time.sleep(0.05)
        time.sleep(2.0)
        booth.send_signal(number)
        _, told = booth.communicate(timeout=60)
    assert booth.returncode == 0, told
    assert [path.name for path in session.iterdir()] == [".holdstill-session"]


@pytest.mark.slow
def test_a_service_that_is_stopped_ends_its_page_and_replaces_it_no_more(tmp_path):
    """The service manager signals all of its processes (systemd.kill(5), control-group); the booth decides."""
    text = (DEMO / "booth.toml").read_text(encoding="utf-8")
    text = text.replace('"sitter"', f'"{DEMO / "sitter"}"').replace('"out/', f'"{tmp_path}/')
    settings, port = tmp_path / "booth.toml", free_port()
    page = f'\n[attendant]\npin_hash = "{CHEAP_HASH}"\n[attendant.page]\nport = {port}\n'
    settings.write_text(text + page, encoding="utf-8")
    command = [sys.executable, "-m", "kiosk.cli", "-v", "booth", "--headless", "--settings", settings]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, start_new_session=True) as booth:
        assert within_60_s(lambda: Visitor(port).sign_in(PIN) == 303)
        children = Path(f"/proc/{booth.pid}/task/{booth.pid}/children").read_text().split()
        (served,) = (pid for pid in children if b"kiosk.page" in Path(f"/proc/{pid}/cmdline").read_bytes())
        os.killpg(booth.pid, signal.SIGTERM)
        _, told = booth.communicate(timeout=60)
    assert booth.returncode == 0, told
    assert "is started again" not in told
    assert within_60_s(lambda: not Path(f"/proc/{served}").exists())


def free_port():
    """Return a port that nobody listens on just now."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return taken.getsockname()[1]


def within_60_s(check):
    """Return whether something comes to hold; nobody may listen yet."""
    end_s = time.monotonic() + 60.0
    while time.monotonic() < end_s:
        with contextlib.suppress(ConnectionError):
            if check():
                return True
        time.sleep(0.2)
    return False


def test_a_booth_leaves_no_memory_dump():
    """A dump of the process would hold a sitter's picture: RLIMIT_CORE of setrlimit(2), inherited by the camera."""
    program = (
        "import resource; from kiosk.cli import main; main(['booth', '--settings', '/nowhere.toml']);"
        "print(*resource.getrlimit(resource.RLIMIT_CORE))"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert told.stdout == "0 0\n"
