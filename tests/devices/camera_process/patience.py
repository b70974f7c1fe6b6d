"""Waiting for a camera's process, and looking at what it has and has left."""

from __future__ import annotations

import gc
import time
from pathlib import Path

SITTER = Path(__file__).parents[3] / "demo" / "sitter"
PATIENCE_S = 60.0


def wait_for(condition):
    end_s = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < end_s, "waited in vain"
        time.sleep(0.002)


def until(camera, kind):
    """Poll until an event of a kind comes; nothing else may come before it."""
    events = []
    wait_for(lambda: events.extend(camera.poll()) or events)
    assert [type(event) for event in events] == [kind]
    return events[0]


def is_gone(pid):
    return not Path(f"/proc/{pid}").exists()


def names(folder):
    return {path.name for path in Path(folder).iterdir()}


def open_files():
    """Return the descriptors of this process, without those of earlier tests that wait to be collected."""
    gc.collect()
    return names("/proc/self/fd")


def shared_memory():
    """Return the names that `multiprocessing` gives, to other tests too, which have theirs for a while."""
    return {name for name in names("/dev/shm") if name.startswith(("psm_", "sem.", "pym"))}
