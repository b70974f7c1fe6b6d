"""The main program of the process that has one sitter's file.

    python -m kiosk.handover.child_main CHANNEL FILE [LISTENING]

The arguments are inherited descriptors: the connection to the booth, which says first what the file is, the file, and
the socket on which it is served. The process gives way to the booth wherever both want the processor, and ends with the
file when the booth closes the connection or is gone.
"""

from __future__ import annotations

import logging
import signal
import socket
import sys

from kiosk.handover.held_file import HeldFile
from kiosk.handover.messages import Hold, from_booth
from kiosk.page.channel import MOST_BYTES, Channel
from kiosk.page.child_main import tidy
from kiosk.system.children import end_with_parent, give_way, take_what_is_left
from kiosk.system.clock import SystemClock
from kiosk.system.memory import keep_to_itself


def main() -> None:
    """Keep and serve the file until the booth is gone, which alone decides about the end."""
    give_way()
    for ending in (signal.SIGINT, signal.SIGTERM):
        signal.signal(ending, signal.SIG_IGN)
    keep_to_itself()
    logging.basicConfig(level=logging.ERROR)
    descriptor, file, *listening = (int(text) for text in sys.argv[1:])
    channel = socket.socket(fileno=descriptor)
    end_with_parent(descriptor)
    from kiosk.handover.server import serve

    hold = from_booth(channel.recv(MOST_BYTES))
    assert isinstance(hold, Hold)
    take_what_is_left()
    opened = socket.socket(fileno=listening[0]) if listening else None
    serve(hold, HeldFile(file), Channel(channel), opened, SystemClock(), tidy)


if __name__ == "__main__":
    main()
