"""A booth that can be cut off anywhere: the real loop, files, ledger, printer and screen in a process of its own.

Run as a server: a line of JSON a command on standard input, a line of JSON back. The process preloads `cut.c` and
forks for each session, so that a killed one costs nothing but itself.
"""

import ctypes
import json
import os
import signal
import sys
import time
from pathlib import Path

from kiosk.core.view import Intent
from kiosk.loop import TICK_S
from tests.core.sights import DOCUMENT
from tests.quick_booth import opened

LIMIT_S = 60.0
CUT_BEFORE, CUT_TORN = 0, 1


WAYS = {
    "welcome": Intent("start"),
    "choose": Intent("choose", DOCUMENT.id),
    "prepare": Intent("ready", "6"),
    "privacy": Intent("agree"),
    "review": Intent("accept"),
    "collect": Intent("done"),
}


def session(loop, parts, until, on_state=lambda state: None):
    """Take a sitter from welcome to `until`, through the events that the screen would send."""
    deadline = time.monotonic() + LIMIT_S
    loop.tick()
    on_state(loop.session.state)
    while loop.session.state != until:
        assert time.monotonic() < deadline, loop.session.state
        before = loop.session.state
        if before in WAYS:
            loop._step(WAYS[before])
        if before == "printing":
            time.sleep(0.001)
        parts.worker.turn()
        loop.tick()
        parts.clock.sleep(TICK_S)
        if loop.session.state != before:
            on_state(loop.session.state)


def cut_at_write(folder, nth, how):
    """Take a sitter through until the nth change of a file kills the process; return how many there were."""
    library = ctypes.CDLL(None)
    library.cut_arm(ctypes.c_long(nth), ctypes.c_long(how))
    with opened(folder) as (loop, parts):
        session(loop, parts, "collect")
        parts.ledger.flush()
        loop._step(WAYS["collect"])
    return library.cut_count()


def cut_at_state(folder, state):
    """Take a sitter through until a state kills the process."""

    def cut(reached):
        if reached == state:
            os.kill(os.getpid(), signal.SIGKILL)

    with opened(folder) as (loop, parts):
        session(loop, parts, "thanks", cut)


def restart(folder, again):
    """Open the booth after a crash; return the state that it comes to by itself, and serve one more sitter if asked."""
    with opened(folder) as (loop, parts):
        loop.tick()
        state = loop.session.state
        left = parts.files.names()
        if again:
            session(loop, parts, "collect")
    return {"state": state, "left": left}


def cut_at_start(folder, nth, how):
    """Open the booth until the nth change of a file kills the process."""
    ctypes.CDLL(None).cut_arm(ctypes.c_long(nth), ctypes.c_long(how))
    with opened(folder) as (loop, _):
        loop.tick()


DO = {"cut_at_start": cut_at_start, "cut_at_write": cut_at_write, "cut_at_state": cut_at_state, "restart": restart}


def main():
    """Serve."""
    for line in sys.stdin:
        command, folder, *arguments = json.loads(line)
        ours, theirs = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(ours)
            answer = DO[command](Path(folder), *arguments)
            with os.fdopen(theirs, "w") as pipe:
                pipe.write(json.dumps(answer))
            os._exit(0)
        os.close(theirs)
        with os.fdopen(ours) as pipe:
            told = pipe.read()
        _, status = os.waitpid(child, 0)
        print(json.dumps({"killed": os.WIFSIGNALED(status), "answer": json.loads(told) if told else None}), flush=True)


if __name__ == "__main__":
    main()
