"""A booth that serves a sitter in a second: real loop, files, ledger, printer and screen, and no face to be found.

The camera gives the same picture for ever, and landmarks and measurements come ready from `tests/support/sights.py`;
all that writes, draws, prints and waits is the booth's own, on a manual clock.
"""

import contextlib
import io
import os
from decimal import Decimal
from functools import partial

os.environ["SDL_VIDEODRIVER"] = "dummy"

import numpy as np
from PIL import Image

from kiosk.booth.assembly import written_down
from kiosk.booth.attendant_desk import AttendantDesk, DeskComponents
from kiosk.booth.components import Components
from kiosk.booth.file_tracker import FileTracker
from kiosk.booth.loop import Loop
from kiosk.core.attendant.state import DeskConfig
from kiosk.core.session.account import PaymentTerms
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.handing import HandoverTerms
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.core.view.choice import Price
from kiosk.devices.base import DeviceReady, LiveFrame, StillTaken
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.light.lit_camera import LitCamera
from kiosk.devices.payment.cashier import Cashier
from kiosk.devices.printer.queue import IDLE_S
from kiosk.event.badge_tracker import BadgeTracker
from kiosk.handover.process import HandedFile
from kiosk.i18n import Words
from kiosk.pipeline.picture_jobs import PictureJobs
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.pipeline.worker import Worker
from kiosk.ready.shot import look_at_shot
from kiosk.screens.hardware.display import Display
from kiosk.screens.touch_screen import TouchScreen
from kiosk.store.desk_memory import DeskMemory
from kiosk.store.kept_sheets import KeptSheets
from kiosk.store.ledger import Bookkeeper
from kiosk.store.session_files import SessionFiles
from tests.support.manual_clock import ManualClock
from tests.support.noted_print_queue import NotedPrintQueue
from tests.support.sights import DOCUMENT, conforming, seen


def picture(width, height):
    """Return a JPEG of the size that the sights were written for."""
    file = io.BytesIO()
    across = np.broadcast_to(np.linspace(0, 255, width, dtype=np.uint8)[None, :, None], (height, width, 3))
    Image.fromarray(np.ascontiguousarray(across)).save(file, "JPEG")
    return file.getvalue()


PRICE = Price(Decimal("9.50"), "EUR")

STILL, LIVE = picture(1600, 2000), picture(160, 200)


class SteadyCamera:
    """A camera that gives the same pictures for ever."""

    simulated = True
    state = "ready"

    def __init__(self):
        self._events = [DeviceReady("steady")]
        self._sequence = 0

    def newest(self):
        self._sequence += 1
        return LiveFrame(self._sequence, 0.0, LIVE)

    def shoot(self, ticket):
        self._events.append(StillTaken(ticket, STILL))

    def forget(self):
        pass

    def poll(self):
        events, self._events = self._events, []
        return events


class Sights:
    """Sees a sitter who does everything right."""

    def observe(self, rgb):
        return seen()

    def measure(self, rgb, focal_length_px=None):
        return conforming(DOCUMENT)


@contextlib.contextmanager
def opened(
    folder,
    camera=None,
    sights=None,
    printer=None,
    languages=("en",),
    pin_hash="",
    release="free",
    doubt="attendant",
    event=None,
    reprint_minutes=0,
    sheets=(1,),
    unit=None,
    ledger=None,
    page=None,
    service=None,
    receipts=None,
    shop=(),
    photos=None,
    idle_s=IDLE_S,
):
    """Open the booth in `folder`; most parts may be others, `event` is a roster's desk and a reception.

    A payment unit is paid `PRICE` for each sheet; photos are handed over as files by a service;
    `shop` are the lines of receipts on the sheets, `receipts` prints slips, and `photos` are so many on a sheet; an
    idle printer is looked at every `idle_s`.
    """
    clock = ManualClock(100.0)
    guests, reception = event or (None, None)
    config = BoothConfig(
        () if event else (DOCUMENT,),
        languages,
        attended=bool(pin_hash),
        release=release,
        doubt=doubt,
        reception=reception,
        reprint_minutes=reprint_minutes,
        sheets=sheets,
        prices={DOCUMENT.id: PRICE} if unit else {},
        payment=PaymentTerms(unit.way) if unit else None,
        handover=HandoverTerms(("phone", "stick"), service.keep_s) if service else None,
    )
    printer = printer or FolderPrinter(folder / "prints", clock)
    ledger = ledger or Bookkeeper(folder / "ledger" / "ledger.sqlite3", clock, printer.how_it_ended)
    camera, sights = camera or SteadyCamera(), sights or Sights()
    paper = medium("card" if event else "4x6in")
    bench = PictureJobs(sights, sights, SheetLayout(paper, Margins(), 2.0, photos), clock, simulated=True, shop=shop)
    display = Display((270, 480))
    screen = TouchScreen(display, Words.load("en"))
    desk = AttendantDesk(
        DeskComponents(
            DeskConfig(bool(pin_hash), reprint_minutes=reprint_minutes),
            pin_hash,
            DeskMemory(folder / "state" / "desk.json"),
            clock,
            survey=list,
            look_at=partial(look_at_shot, still_px=config.still_px),
            page=page,
        )
    )
    desk.settle(printer.how_it_ended)
    prints = NotedPrintQueue(
        printer, check_s=0.001, idle_s=idle_s, hold_s=0.0, before=partial(written_down, ledger, desk)
    )
    worker = Worker(camera.newest, bench.look)
    badges = BadgeTracker(guests, worker, bench, prints, ledger, clock) if guests else None
    files = SessionFiles(folder / "session")
    kept = KeptSheets(reprint_minutes * 60.0, clock)
    cashier = Cashier(unit, ledger.put_on_disk, check_s=0.01, idle_s=0.05) if unit else None
    files_out = FileTracker(partial(HandedFile, service), ledger) if service else None
    parts = Components(
        camera,
        worker,
        bench,
        prints,
        files,
        screen,
        clock,
        ledger,
        desk=desk,
        badges=badges,
        kept=kept,
        cashier=cashier,
        left_open=lambda: ledger.bills,
        handing=files_out,
        receipts=receipts,
        light=camera if isinstance(camera, LitCamera) else None,
    )
    yield Loop(config, parts), parts
    kept.wipe()
    if files_out:
        files_out.close()
        for ended in files_out._ending:
            ended.process.wait(60.0)
    prints.close()
    desk.close()
    if cashier:
        cashier.close()
    ledger.close()
    if guests:
        guests.close()
    display.close()
