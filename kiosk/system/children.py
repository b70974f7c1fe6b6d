"""What a process does that another one has started: it ends with its parent, and gives way to it."""

from __future__ import annotations

import os
import select
import threading

NICE = 10
"""What is taken off the priority (nice(1)): beside a thread without it, about a tenth of a processor is left
(sched(7), weight 110 against 1024)."""


def end_with_parent(fd: int) -> None:
    """End this process as soon as nobody holds the other end of a connection, even in the middle of a hung call."""
    threading.Thread(target=_end_at_hang_up, args=(fd,), name="parent watch", daemon=True).start()


def give_way() -> None:
    """Leave most of the processor to whoever else wants it: this thread, and the threads and processes it starts."""
    os.nice(NICE)
    os.sched_setscheduler(0, os.SCHED_BATCH, os.sched_param(0))


def take_what_is_left() -> None:
    """Leave all of the processor to whoever else wants it: this thread, and the threads and processes it starts.

    Nothing that holds a lock of others may do so. A process that computes beside the live view takes a quarter of its
    pictures when it merely gives way, and none so (measured, on two processors).
    """
    os.sched_setscheduler(0, os.SCHED_IDLE, os.sched_param(0))


def _end_at_hang_up(fd: int) -> None:
    """Wait for the other end; poll(2) reports that it is closed without being asked for it."""
    watch = select.poll()
    watch.register(fd, 0)
    watch.poll()
    os._exit(0)
