"""What passes between a booth's process (`booth_process.py`) and its other end (`real_booth.py`)."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from tests.support.marked_pictures import Mark


@dataclass(frozen=True)
class Build:
    """What a booth is made of: its folder, the camera's address, the print server's port, its queues, and the rest."""

    folder: Path
    camera: str
    server_port: int
    queues: tuple[str, str]
    burst: int
    seed: str


@dataclass(frozen=True)
class Turn:
    """The order to take a turn of the loop, with what is touched."""

    touched: tuple[Intent, ...]


@dataclass(frozen=True)
class Turned:
    """What a turn has brought: the view, how the devices stand, the sheets sent and the marks seen since the last."""

    view: SessionView
    is_at_rest: bool
    camera_pid: int | None
    submitted: tuple[str, ...]
    live: frozenset[Mark]
    measured: frozenset[Mark]


@dataclass(frozen=True)
class LeaveNothing:
    """The order to do all that is to be done, and to tell what is left of the sitter."""
