"""What every test finds: Ctrl-C reaches the programs that a test starts."""

import os
import signal

import pytest
from hypothesis import settings

# The same cases in every run, however slow the machine; `--hypothesis-profile default` looks for others.
settings.load_profile("ci")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A run in a shell's background ignores it, and so would every process started here.
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture(autouse=True)
def standard_input():
    """Give descriptor 0 back: libgphoto2 closes it with a camera on the network (2.5.34, seen here).

    A camera's process ends with its connection; this one goes on, and the next file to be opened would take its place.
    """
    kept = os.dup(0)
    yield
    os.dup2(kept, 0)
    os.close(kept)
