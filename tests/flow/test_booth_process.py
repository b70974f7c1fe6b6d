"""The command `holdstill booth` as systemd would run it."""

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

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


def test_a_booth_leaves_no_memory_dump():
    """A dump of the process would hold a sitter's picture: RLIMIT_CORE of setrlimit(2), inherited by the camera."""
    program = (
        "import resource; from kiosk.cli import main; main(['booth', '--settings', '/nowhere.toml']);"
        "print(*resource.getrlimit(resource.RLIMIT_CORE))"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert told.stdout == "0 0\n"
