"""The composition root: puts the booth together out of its parts."""

from __future__ import annotations

import contextlib
import logging
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import partial

from kiosk.booth.attendant_desk import AttendantDesk
from kiosk.booth.command_runner import NOBODYS
from kiosk.booth.components import Components
from kiosk.booth.config import booth_config
from kiosk.booth.desk_assembly import make_desk, served_page
from kiosk.booth.handover_assembly import files_handed
from kiosk.booth.ledger_assembly import kept_ledger
from kiosk.booth.loop import Loop
from kiosk.booth.receipt_assembly import receipts_printed, shop_on_sheets
from kiosk.booth.screen_assembly import make_screen
from kiosk.devices.backends import make_camera, make_payment_unit
from kiosk.devices.light.lit_camera import LitCamera
from kiosk.devices.payment.cashier import Cashier
from kiosk.devices.print_backends import make_printer
from kiosk.devices.printer.queue import PrintQueue
from kiosk.event.assembly import roster_of
from kiosk.event.badge_tracker import BadgeTracker
from kiosk.pipeline.offering import layout_of, layouts_of
from kiosk.pipeline.picture_jobs import JobResult, PictureJobs, Seeing
from kiosk.pipeline.worker import Worker
from kiosk.ready.booth import gate
from kiosk.screens.touch_screen import TouchScreen
from kiosk.settings import Settings
from kiosk.store.kept_sheets import KeptSheets
from kiosk.store.ledger import Bookkeeper
from kiosk.store.one_booth import only_booth
from kiosk.store.reference import read_reference
from kiosk.store.roster.deletion_schedule import DeletionSchedule
from kiosk.store.session_files import SessionFiles
from kiosk.system.clock import Clock, SystemClock
from kiosk.system.systemd import make_heartbeat
from kiosk.system.ups import watched_mains
from kiosk.vision.live import LiveVision
from kiosk.vision.still import StillVision

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Booth:
    """An open booth: its loop, and the sitter's side of it."""

    loop: Loop
    screen: TouchScreen


@contextlib.contextmanager
def open_booth(settings: Settings, *, headless: bool = False, clock: Clock | None = None) -> Iterator[Booth]:
    """Put the booth together, start its devices, and close them at the end, whatever happens.

    Parameters
    ----------
    settings
        Of the site.
    headless
        Draw without a screen.
    clock
        The machine's own where none is given.

    Raises
    ------
    NoDisplay
        No screen could be opened.
    SettingsRefused
        A document, language, paper or logo that is not there, or a document that is no print.
    BoothTaken
        Another booth on this machine has the same name or session folder.
    CannotWrite
        The session folder or the ledger cannot be written.
    LedgerForeign, LedgerShared
        The ledger's file is something else's, or another booth's.
    OfficeUnreachable, MissingPart
        The address of the office's database is none, or its driver is not installed.
    """
    clock = clock or SystemClock()
    config = booth_config(settings, clock.today())
    layout = layout_of(settings)
    guests = roster_of(settings, clock)
    for document in config.documents:
        layout.impose(document)
    session_folder = settings.path(settings.booth.session_folder)
    with contextlib.ExitStack() as closing:
        closing.enter_context(only_booth(settings.file, settings.booth.name, session_folder))
        delete_expired(settings, clock.today())
        files = SessionFiles(session_folder)
        closing.callback(files.wipe)
        screen = closing.enter_context(make_screen(settings, config, headless=headless))
        camera, hear = make_camera(settings)
        closing.callback(camera.close)
        reference = read_reference(settings.path(settings.booth.state_folder))
        picture_jobs = PictureJobs(
            live=closing.enter_context(LiveVision(reference)),
            stills=closing.enter_context(StillVision(reference)),
            layout=layout,
            clock=clock,
            simulated=camera.simulated,
            papers=layouts_of(settings),
            shop=shop_on_sheets(settings),
        )
        worker: Worker[Seeing, JobResult] = Worker(camera.newest, picture_jobs.look)
        printer = make_printer(settings, clock)
        ledger = closing.enter_context(kept_ledger(settings, clock, printer.how_it_ended))
        desk = make_desk(settings, clock, closing.enter_context(served_page(settings, clock)))
        closing.callback(desk.close)
        desk.settle(printer.how_it_ended)
        prints = PrintQueue(printer, before=partial(written_down, ledger, desk))
        closing.callback(prints.close)
        cashier = closing.enter_context(open_cashier(settings, ledger))
        closing.callback(worker.close)
        camera.start()
        worker.submit(NOBODYS, picture_jobs.warm_up)
        worker.start()
        heartbeat = make_heartbeat(clock)
        closing.callback(heartbeat.stop)
        shut = gate(settings, config.documents, clock)
        badges = None
        if guests is not None:
            closing.callback(guests.close)
            badges = BadgeTracker(guests, worker, picture_jobs, prints, ledger, clock)
        kept = KeptSheets(settings.attendant.reprint_minutes * 60.0, clock)
        closing.callback(kept.wipe)
        components = Components(
            camera,
            worker,
            picture_jobs,
            prints,
            files,
            screen,
            clock,
            ledger,
            hear,
            shut,
            heartbeat,
            desk,
            badges,
            kept,
            closing.enter_context(watched_mains(settings.power.ups)),
            camera if isinstance(camera, LitCamera) else None,
            cashier,
            lambda: ledger.bills,
            closing.enter_context(files_handed(settings, ledger)),
            closing.enter_context(receipts_printed(settings, clock)),
        )
        yield Booth(Loop(config, components), screen)


def written_down(ledger: Bookkeeper, desk: AttendantDesk) -> None:
    """Wait until a sheet is on disk that is about to be printed: in the ledger, and where the paper is counted."""
    ledger.flush()
    desk.flush()


@contextlib.contextmanager
def open_cashier(settings: Settings, ledger: Bookkeeper) -> Iterator[Cashier | None]:
    """Start the payment unit's thread, where the booth is paid; an event's badges are free."""
    unit = make_payment_unit(settings) if settings.event is None else None
    if unit is None:
        yield None
        return
    with contextlib.closing(Cashier(unit, ledger.put_on_disk)) as cashier:
        yield cashier


def delete_expired(settings: Settings, today: date) -> None:
    """Delete the photos of events whose day has come, and remember the folder of an event that begins.

    Raises
    ------
    CannotWrite
        What was promised cannot be read, or not be remembered.
    """
    deletions = DeletionSchedule(settings.path(settings.booth.state_folder) / "photos-promised.json")
    deleted = deletions.carry_out(today)
    if deleted:
        _log.info("%d photos of guests were deleted on their day", deleted)
    if settings.event is not None and settings.event.photos_until is not None:
        deletions.add(settings.path(settings.event.photos_folder))
