"""The parts of a booth, as the frame loop drives them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from kiosk.booth.attendant_desk import AttendantsDesk
from kiosk.core.session.facts import Ledger
from kiosk.devices.base import Camera
from kiosk.devices.printer.queue import PrintQueue
from kiosk.event.badge_tracker import BadgesDue
from kiosk.pipeline.picture_jobs import Bench, Outcome, Seeing
from kiosk.pipeline.worker import Worker
from kiosk.screens.touch_screen import TouchScreen
from kiosk.store.kept_sheets import KeptSheets
from kiosk.store.session_files import SessionFiles
from kiosk.system.clock import Clock
from kiosk.system.systemd import Heart


@dataclass(frozen=True)
class Parts:
    """What the loop drives.

    Attributes
    ----------
    ledger
        Takes what has happened; at once.
    hear
        Tells a simulated sitter what the screen says.
    shut
        Returns why the booth takes no sitter, a sentence and a next step, or None; at once.
    heart
        Beats with every tick.
    desk
        The attendant's; without one nobody goes behind the sitter's screens.
    badges
        Those on their way, at an event.
    kept
        The sheets that an attendant may have printed again.
    """

    camera: Camera
    worker: Worker[Seeing, Outcome]
    bench: Bench
    prints: PrintQueue
    files: SessionFiles
    screen: TouchScreen
    clock: Clock
    ledger: Ledger
    hear: Callable[[str], None] | None = None
    shut: Callable[[], tuple[str, str] | None] = lambda: None
    heart: Heart | None = None
    desk: AttendantsDesk | None = None
    badges: BadgesDue | None = None
    kept: KeptSheets | None = None
