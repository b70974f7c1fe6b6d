"""The progress bar is for a person at a terminal, and stays out of the results."""

import os
import pty
import subprocess
import sys

PROGRAM = """
from kiosk.commands.progress import with_progress
for number in with_progress(range(3), 3, "Measuring"):
    print(number)
"""


def test_the_bar_goes_to_the_terminal_and_the_results_to_the_pipe() -> None:
    ours, theirs = pty.openpty()
    environment = os.environ | {"TERM": "xterm", "COLUMNS": "80"}
    with subprocess.Popen(
        [sys.executable, "-c", PROGRAM], stdout=subprocess.PIPE, stderr=theirs, env=environment
    ) as run:
        os.close(theirs)
        shown = b""
        while True:
            try:
                shown += os.read(ours, 4096)
            except OSError:  # the terminal's other end is closed (pty(7))
                break
        assert run.stdout is not None
        printed = run.stdout.read()
    os.close(ours)
    assert run.returncode == 0
    assert printed == b"0\n1\n2\n"
    assert b"Measuring" in shown
    assert b"3/3" in shown


def test_without_a_terminal_there_is_no_bar() -> None:
    run = subprocess.run([sys.executable, "-c", PROGRAM], check=True, capture_output=True)
    assert (run.stdout, run.stderr) == (b"0\n1\n2\n", b"")
