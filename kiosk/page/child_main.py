"""The main program of the page's own process.

    python -m kiosk.page.child_main CHANNEL LISTENING

The arguments are inherited descriptors: the connection to the booth, which says first what to serve, and the socket on
which the page is served. The process gives way to the booth wherever both want the processor, has no picture, and ends
when the booth closes the connection or is gone.
"""

from __future__ import annotations

import gc
import logging
import signal
import socket
import sys

from kiosk.page.channel import MOST_BYTES, Channel
from kiosk.page.messages import Serve, from_booth
from kiosk.system.children import end_with_parent, give_way, take_what_is_left
from kiosk.system.clock import SystemClock
from kiosk.system.memory import give_back, keep_to_itself

COLLECTED_AFTER = (700, 4, 2)
"""When cycles of references are looked for (`gc.set_threshold`): among young objects as usual, among all about every
eighth time. A handshake that does not come leaves its buffer of a quarter of a megabyte in one (asyncio of Python
3.11), and by default 150 MB of them stayed (measured). What is there before the first connection is not looked at."""


def main() -> None:
    """Serve until the booth is gone, which alone decides about the end, whoever else is signalled to end."""
    give_way()
    for ending in (signal.SIGINT, signal.SIGTERM):
        signal.signal(ending, signal.SIG_IGN)
    keep_to_itself()
    logging.basicConfig(level=logging.ERROR)
    channel, listening = (socket.socket(fileno=int(text)) for text in sys.argv[1:])
    end_with_parent(channel.fileno())
    from kiosk.page.server import serve

    what = from_booth(channel.recv(MOST_BYTES))
    assert isinstance(what, Serve)
    gc.freeze()
    gc.set_threshold(*COLLECTED_AFTER)
    take_what_is_left()
    serve(what, Channel(channel), listening, SystemClock(), tidy)


def tidy() -> None:
    """Free what nobody refers to any more."""
    gc.collect()
    give_back()


if __name__ == "__main__":
    main()
