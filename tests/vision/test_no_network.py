"""Looking at faces makes no internet socket; the kernel watches."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.no_network import KILLED, run_without_network, supported

pytestmark = pytest.mark.skipif(not supported(), reason="needs seccomp")

PICTURE = Path(__file__).parents[1] / "data" / "sitters" / "images" / "ok_000.jpg"

LOOK = """
import sys
from pathlib import Path
from kiosk.vision.live import LiveVision
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision
rgb = read_photo(Path(sys.argv[1])).rgb
with LiveVision() as live, StillVision() as still:
    print(live.observe(rgb).faces, still.measure(rgb).faces)
"""


@pytest.mark.parametrize(
    "connect",
    [
        "import socket; socket.socket()",
        "import socket; socket.socket(socket.AF_INET6, socket.SOCK_DGRAM)",
        "import threading, socket; t = threading.Thread(target=socket.socket); t.start(); t.join()",
        "import os, sys; os.execv(sys.executable, [sys.executable, '-c', 'import socket; socket.socket()'])",
    ],
)
def test_the_filter_kills(connect: str) -> None:
    assert run_without_network(["-c", connect]).returncode == KILLED


def test_the_filter_lets_the_rest_pass() -> None:
    passed = run_without_network(["-c", "import socket; socket.socketpair(); print('alive')"])
    assert (passed.returncode, passed.stdout) == (0, "alive\n")


def test_looking_at_faces_makes_no_internet_socket() -> None:
    looked = run_without_network(["-c", LOOK, str(PICTURE)])
    assert (looked.returncode, looked.stdout) == (0, "1 1\n"), looked.stderr


def test_the_models_are_silent() -> None:
    """The C++ side logs to file descriptor 2, past Python's sys.stderr."""
    assert run_without_network(["-c", LOOK, str(PICTURE)]).stderr == ""
