"""The process that serves a booth's page, found by the benches that run the booth in their own."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def page_pid() -> int:
    """Return the process that serves the page: the child of this one whose command line says so."""
    for pid in Path(f"/proc/self/task/{os.getpid()}/children").read_text().split():
        if b"kiosk.page.child_main" in Path(f"/proc/{pid}/cmdline").read_bytes():
            return int(pid)
    sys.exit("No process serves the page any more.")
