"""The components of a booth, as the frame loop drives them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from kiosk.booth.attendant_desk import AttendantDesk
from kiosk.booth.file_tracker import FileTracker
from kiosk.booth.receipt_tracker import ReceiptTracker
from kiosk.core.base.mains import Mains
from kiosk.core.session.bill import Bill
from kiosk.core.session.facts import Ledger
from kiosk.devices.base import Camera
from kiosk.devices.light.lit_camera import LitCamera
from kiosk.devices.payment.cashier import Cashier
from kiosk.devices.printer.queue import PrintQueue
from kiosk.event.badge_tracker import BadgeTracker
from kiosk.pipeline.picture_jobs import JobResult, PictureJobs, Seeing
from kiosk.pipeline.worker import Worker
from kiosk.screens.touch_screen import TouchScreen
from kiosk.store.kept_sheets import KeptSheets
from kiosk.store.session_files import SessionFiles
from kiosk.system.clock import Clock
from kiosk.system.systemd import Heartbeat


@dataclass(frozen=True)
class Components:
    """Everything that the loop drives.

    Attributes
    ----------
    ledger
        Records what has happened; never blocks.
    hear
        Tells a simulated sitter what the screen says.
    shut
        Returns why the booth takes no sitter, as a sentence and a next step, or None; never blocks.
    heartbeat
        Sent to the service manager with every tick.
    desk
        The attendant's desk; without one nobody gets behind the sitter's screens.
    badges
        The badges on their way to the printer, at an event.
    kept
        The sheets that an attendant may have printed again.
    mains
        Returns what the UPS last said of the mains, or None without one; never blocks.
    light
        The camera once more, if the program works its light.
    cashier
        The payment unit's thread, where the booth is paid.
    left_open
        Returns the bills that an earlier run has left open, or None before the ledger could be read.
    handing
        Who has the sitter's file, where the booth hands files over.
    receipts
        Who prints receipts, where they have a printer of their own.
    """

    camera: Camera
    worker: Worker[Seeing, JobResult]
    picture_jobs: PictureJobs
    prints: PrintQueue
    files: SessionFiles
    screen: TouchScreen
    clock: Clock
    ledger: Ledger
    hear: Callable[[str], None] | None = None
    shut: Callable[[], tuple[str, str] | None] = lambda: None
    heartbeat: Heartbeat | None = None
    desk: AttendantDesk | None = None
    badges: BadgeTracker | None = None
    kept: KeptSheets | None = None
    mains: Callable[[], Mains | None] = lambda: None
    light: LitCamera | None = None
    cashier: Cashier | None = None
    left_open: Callable[[], tuple[Bill, ...] | None] = lambda: None
    handing: FileTracker | None = None
    receipts: ReceiptTracker | None = None
