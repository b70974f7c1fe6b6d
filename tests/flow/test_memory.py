"""No process keeps a picture that it no longer needs: the memory of the real processes is searched for a known one."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from tests.support.memory_lab import found_in, known_picture, marks_of

ROOT = Path(__file__).parents[2]
OWNER = "import sys; from pathlib import Path; from tests.support.known_camera import {0}; {0}(Path(sys.argv[1]))"
PATIENCE_S = 180.0
LIVE, OTHER, STILL = known_picture(1, 400_000), known_picture(2, 70_000), known_picture(3, 6_000_000)

pytestmark = pytest.mark.skipif(not os.access("/proc/self/mem", os.R_OK), reason="needs /proc")


@contextlib.contextmanager
def running(*arguments):
    """Run a process until it says that it is ready; yield its process id and what else it says."""
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    command = [sys.executable, *map(str, arguments)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        try:
            said = process.stdout.readline().split()
            assert said[:1] == ["ready"]
            yield process.pid, int(said[1])
        finally:
            process.kill()


def gone(pids, marks):
    """Tell whether marks are soon in the memory of none of these processes."""
    end_s = time.monotonic() + PATIENCE_S
    while (left := sum(found_in(pid, marks) for pid in pids)) and time.monotonic() < end_s:
        time.sleep(0.2)
    return left == 0


@pytest.fixture
def camera(tmp_path):
    (tmp_path / "live.jpg").write_bytes(LIVE)
    (tmp_path / "still.jpg").write_bytes(STILL)
    return tmp_path


def test_after_a_session_neither_the_booth_nor_the_cameras_process_has_the_pictures(camera):
    """The next live pictures are smaller than the sitter's, so that they alone overwrite less than all of it."""
    with running("-c", OWNER.format("own_camera"), camera) as (owner, child):
        assert found_in(owner, marks_of(LIVE)), "the search finds what is there"
        replaced(camera, OTHER)
        assert gone([owner, child], marks_of(LIVE))
        assert gone([owner, child], marks_of(STILL))


def replaced(camera, jpeg):
    """Show another live picture from now on."""
    (camera / "next.jpg").write_bytes(jpeg)
    (camera / "next.jpg").rename(camera / "live.jpg")


def test_after_a_crash_of_the_cameras_process_the_booth_has_no_picture(camera):
    with running("-c", OWNER.format("own_camera"), camera) as (owner, child):
        (camera / "gone").touch()
        os.kill(child, signal.SIGKILL)
        assert gone([owner], marks_of(LIVE))
        assert gone([owner], marks_of(STILL))


def test_after_a_print_the_booth_has_no_sheet(tmp_path):
    sheet = b"%PDF-1.7\n" + known_picture(4, 3_000_000)
    (tmp_path / "sheet.pdf").write_bytes(sheet)
    with running("-c", OWNER.format("own_printer"), tmp_path) as (owner, _):
        assert gone([owner], marks_of(sheet))


FIRST_LOOK = """
import sys, time
import numpy as np
from kiosk.system.memory import keep_to_itself
from kiosk.vision.live import LiveVision
keep_to_itself()
vision = LiveVision()
vision.warm_up()
vision.observe(np.load(sys.argv[1]))
vision.observe(np.zeros((800, 640, 3), np.uint8))
print("ready", 0, flush=True)
time.sleep(600)
"""


@pytest.mark.slow
def test_the_first_picture_that_is_looked_at_is_not_kept(tmp_path):
    noise = np.random.default_rng(5).integers(0, 256, (800, 640, 3), np.uint8)
    np.save(tmp_path / "first.npy", noise)
    with running("-c", FIRST_LOOK, tmp_path / "first.npy") as (looker, _):
        assert gone([looker], marks_of(noise.tobytes()))
