"""`holdstill setup` as a process: its answers from a pipe or a terminal, and Ctrl-C."""

import io
import os
import pty
import signal
import subprocess
import sys

from kiosk.cli import main
from tests.support.setup_walk import PIN, lines


def test_the_command_goes_on_to_try_the_booth(tmp_path, monkeypatch, capsys):
    path = tmp_path / "booth.toml"
    answers = lines(camera="folder", device="card", pin=PIN, again=PIN)
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join([*answers, "no", "yes"]) + "\n"))
    assert main(["setup", "--settings", str(path)]) == 0
    told = capsys.readouterr().out
    assert "camera.folder:" in " ".join(told.split())
    assert "The attendant's PIN is set." in told
    assert PIN not in told


def test_ctrl_c_at_a_terminal_writes_nothing(tmp_path):
    parent, child = pty.openpty()
    heeding = ["env", "--default-signal=INT"]  # a background shell hands an ignored interrupt down
    command = [*heeding, sys.executable, "-m", "kiosk.cli", "setup", "--settings", tmp_path / "booth.toml"]
    with subprocess.Popen(command, stdin=child, stdout=child, stderr=child, start_new_session=True) as walk_process:
        os.close(child)
        try:
            heard = b""
            while b"Which [self-service]" not in heard:
                heard += os.read(parent, 4096)
            os.write(parent, b"2\n")
            while b"on this machine" not in heard:
                heard += os.read(parent, 4096)
            walk_process.send_signal(signal.SIGINT)
            assert walk_process.wait(timeout=60) == 130
        finally:
            walk_process.kill()
    os.close(parent)
    assert list(tmp_path.iterdir()) == []
