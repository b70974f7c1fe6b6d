"""The composition root: the only place that names device backends and puts the booth together."""

from __future__ import annotations

import contextlib
import logging
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from pydantic import ValidationError

from kiosk.badges import read_design
from kiosk.badges_due import BadgesDue
from kiosk.catalogue import Catalogue
from kiosk.clock import Clock, SystemClock
from kiosk.core.desk import Post
from kiosk.core.media import medium
from kiosk.core.readiness import Finding
from kiosk.core.sheet import Margins
from kiosk.core.view import SessionView
from kiosk.core.visit import House
from kiosk.desk import AttendantsDesk, DeskParts
from kiosk.devices.base import Camera, Printer, PrinterStanding
from kiosk.devices.by_paper import PrinterByPaper
from kiosk.devices.camera_process import CameraProcess
from kiosk.devices.fallback import FallbackPrinter
from kiosk.devices.folder.camera import FolderDriver
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.print_queue import PrintQueue
from kiosk.devices.sim.camera import SimulatedCamera, SimulatedDriver
from kiosk.devices.sim.pictures import STILL_PX
from kiosk.devices.sim.sitter import Scenario
from kiosk.devices.uvc.camera import WebcamDriver
from kiosk.devices.worker import Worker
from kiosk.errors import KioskError, MissingPart, NoDisplay, PrinterFault, SettingsRefused
from kiosk.health import heart_of
from kiosk.i18n import SOURCE_TAG, Words, available
from kiosk.loop import Loop
from kiosk.offers import layout_of, layouts_of, offered, papers_of, prices_of
from kiosk.page.bridge import Bridge
from kiosk.parts import Parts
from kiosk.pipeline import Bench, Outcome, Seeing
from kiosk.ready.booth import booth_findings, gate
from kiosk.ready.shot import look_at_shot
from kiosk.reception import at_event, reception_of, roster_of
from kiosk.screens.chime import Chime
from kiosk.screens.display import Display
from kiosk.screens.touch_screen import TouchScreen
from kiosk.screens.voice import Voice
from kiosk.settings import Settings, refusal
from kiosk.settings import cameras as camera_settings
from kiosk.settings.printing import CupsQueue, FolderPrint
from kiosk.store.desk_memory import DeskMemory
from kiosk.store.jobs import Jobs
from kiosk.store.kept_sheets import KeptSheets
from kiosk.store.ledger import Bookkeeper
from kiosk.store.one_booth import only_booth
from kiosk.store.promises import Promises
from kiosk.store.reference import read_reference
from kiosk.store.scales import Kept, Scales
from kiosk.store.session_files import SessionFiles
from kiosk.vision.live import LiveVision
from kiosk.vision.still import StillVision

if TYPE_CHECKING:
    from kiosk.devices.cups.printer import CupsPrinter

_log = logging.getLogger(__name__)

FAULT_SHOWN_S = 30.0
"""How long a booth that cannot be opened says why, before it ends and is started again."""
BURST = 3
"""Stills of a shot where the settings do not say: practice of the trade."""
SPARE_PX = (1080, 1920)
"""What is drawn where there is no screen."""


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
        A document, language or paper that is not there, or a document that is no print.
    BoothTaken
        Another booth on this machine has the same name or session folder.
    CannotWrite
        The session folder or the ledger cannot be written.
    LedgerForeign, LedgerShared
        The ledger's file is something else's, or another booth's.
    """
    clock = clock or SystemClock()
    house = house_of(settings, clock.today())
    layout = layout_of(settings)
    guests = roster_of(settings, clock)
    for document in house.documents:
        layout.impose(document)
    session_folder = settings.path(settings.booth.session_folder)
    with contextlib.ExitStack() as closing:
        closing.enter_context(only_booth(settings.file, settings.booth.name, session_folder))
        keep_promises(settings, clock.today())
        files = SessionFiles(session_folder)
        closing.callback(files.wipe)
        display = display_of(settings, headless=headless)
        closing.callback(display.close)
        voice = voice_of(settings)
        closing.callback(voice.close)
        chime = Chime(settings.sound.call_volume if house.attended else 0)
        closing.callback(chime.close)
        screen = TouchScreen(display, Words.load(house.languages[0]), voice, chime)
        camera, hear = camera_of(settings)
        closing.callback(camera.close)
        bench = Bench(
            live=closing.enter_context(LiveVision()),
            stills=closing.enter_context(StillVision(read_reference(settings.path(settings.booth.state_folder)))),
            layout=layout,
            clock=clock,
            simulated=camera.simulated,
            papers=layouts_of(settings),
        )
        worker: Worker[Seeing, Outcome] = Worker(camera.newest, bench.look)
        printer = printer_of(settings, clock)
        ledger = Bookkeeper(settings.ledger, clock, printer.how_it_ended)
        closing.callback(ledger.close)
        prints = PrintQueue(printer, before=ledger.flush)
        closing.callback(prints.close)
        closing.callback(worker.close)
        camera.start()
        worker.start()
        heart = heart_of(clock)
        closing.callback(heart.stop)
        shut = gate(settings, house.documents, clock)
        bridge = closing.enter_context(page_of(settings, clock)) if settings.attendant.page is not None else None
        desk = desk_of(settings, clock, bridge)
        closing.callback(desk.close)
        badges = None
        if guests is not None:
            closing.callback(guests.close)
            guests.worker.start()
            badges = BadgesDue(guests, worker, bench, prints, ledger, clock)
        kept = KeptSheets(settings.attendant.reprint_minutes * 60.0, clock)
        closing.callback(kept.wipe)
        parts = Parts(
            camera, worker, bench, prints, files, screen, clock, ledger, hear, shut, heart, desk, badges, kept
        )
        yield Booth(Loop(house, parts), screen)


def show_fault(error: KioskError, go_on: Callable[[], bool], clock: Clock, *, headless: bool = False) -> None:
    """Say on the sitter's screen, for half a minute, why the booth cannot be opened; nothing where there is no screen.

    Parameters
    ----------
    error
        What keeps it shut.
    go_on
        Whether to go on.
    """
    try:
        display = Display(SPARE_PX) if headless else Display()
    except NoDisplay:
        return
    screen, heart, end_s = TouchScreen(display, Words.load(SOURCE_TAG)), heart_of(clock), clock.now_s() + FAULT_SHOWN_S
    view = SessionView(state="out_of_order", fault=(str(error), error.advice))
    while go_on() and clock.now_s() < end_s:
        screen.intents()
        screen.show(view, None)
        heart.beat(view.state)
        clock.sleep(0.1)
    display.close()


def house_of(settings: Settings, today: date) -> House:
    """Return what the booth is set to, with its documents read."""
    catalogue = Catalogue.beside(settings.own_documents())
    missing = [tag for tag in settings.booth.languages if tag not in available()]
    if missing:
        detail = f"no catalogue for {missing[0]!r}; there are {', '.join(available())}"
        raise SettingsRefused(path=settings.file, where="booth.languages", detail=detail)
    reception = reception_of(settings, catalogue)
    documents = offered(settings, catalogue, today) if reception is None else ()
    return House(
        documents=documents,
        reception=reception,
        languages=tuple(settings.booth.languages),
        shots=settings.booth.shots,
        burst=burst_of(settings),
        still_px=still_px_of(settings),
        prices=prices_of(settings, catalogue),
        sheets=tuple(settings.paper.sheets),
        papers=papers_of(settings, documents),
        extras={medium(more.medium).short: more.extra for more in settings.paper.more},
        lying_deg=settings.booth.lying_deg,
        release=settings.attendant.release,
        attended=bool(settings.attendant.pin_hash),
        has_voice=settings.voice_folder is not None,
        reprint_minutes=settings.attendant.reprint_minutes if reception is None else 0,
    )


def burst_of(settings: Settings) -> int:
    """Return how many stills a shot has.

    A queue at an event would wait for them, and a folder's camera is released by hand for each.
    """
    one = settings.event is not None or isinstance(settings.camera, camera_settings.FolderCamera)
    return settings.booth.burst or (1 if one else BURST)


def keep_promises(settings: Settings, today: date) -> None:
    """Delete the photos of events whose day has come, and remember the folder of an event that begins.

    Raises
    ------
    CannotWrite
        What was promised cannot be read, or not be remembered.
    """
    promises = Promises(settings.path(settings.booth.state_folder) / "photos-promised.json")
    deleted = promises.keep(today)
    if deleted:
        _log.info("%d photos of guests were deleted on their day", deleted)
    if settings.event is not None and settings.event.photos_until is not None:
        promises.note(settings.path(settings.event.photos_folder))


def post_of(settings: Settings) -> Post:
    """Return what the attendant's desk is set to."""
    chosen = settings.attendant
    post = Post(bool(chosen.pin_hash), chosen.idle_s, chosen.few_sheets, chosen.reprint_minutes)
    return post if settings.event is None else at_event(post, read_design(settings.path(settings.event.design)))


def desk_of(settings: Settings, clock: Clock, bridge: Bridge | None = None) -> AttendantsDesk:
    """Return the attendant's desk, with a bridge to its page where there is one."""
    chosen = settings.attendant
    return AttendantsDesk(
        DeskParts(
            post=post_of(settings),
            pin_hash=chosen.pin_hash,
            memory=DeskMemory(settings.path(settings.booth.state_folder) / "desk.json"),
            clock=clock,
            survey=partial(standing, settings, clock),
            look_at=partial(look_at_shot, still_px=still_px_of(settings)),
            bridge=bridge,
        )
    )


@contextlib.contextmanager
def page_of(settings: Settings, clock: Clock) -> Iterator[Bridge]:
    """Serve the attendant's page that the settings ask for.

    Raises
    ------
    PageRefused
        Its address or certificate cannot be used.
    """
    from kiosk.page.server import Where, serve

    page = settings.attendant.page
    assert page is not None
    certificate, key = (settings.path(text) if text else None for text in (page.certificate, page.key))
    bridge = Bridge()
    where = Where(page.address, page.port, tuple(page.names), certificate, key)
    with serve(bridge, clock, where, settings.booth.name) as port:
        _log.warning("the attendant's page is served at %s, port %d", page.address, port)
        yield bridge


def standing(settings: Settings, clock: Clock) -> list[Finding]:
    """Return how the booth stands, all but its camera's trial: for the command, the start and the attendant."""
    catalogue = Catalogue.beside(settings.own_documents())
    chosen = [catalogue.get(name) for name in settings.booth.documents]
    return booth_findings(settings, chosen, layout_of(settings), printers_standing(settings, clock), clock.today())


def camera_of(settings: Settings) -> tuple[Camera, Callable[[str], None] | None]:
    """Return the camera, and the ear of a simulated sitter."""
    chosen = settings.camera
    if isinstance(chosen, camera_settings.SimulatedCamera):
        try:
            scenario = Scenario.model_validate(chosen.scenario)
        except ValidationError as error:
            raise refusal(settings.file, error, within="camera.scenario") from error
        camera = SimulatedCamera(SimulatedDriver(settings.path(chosen.pictures), scenario))
        return camera, camera.hear
    if isinstance(chosen, camera_settings.TetheredCamera):
        keep, turned_deg = chosen.keep_on_card, chosen.turned_deg
        raw = settings.path(chosen.raw_folder) if chosen.raw_folder else None
        tethered = TetheredDriver("", chosen.model, chosen.adjust, keep=keep, raw_folder=raw, turned_deg=turned_deg)
        return CameraProcess(tethered), None
    if isinstance(chosen, camera_settings.FolderCamera):
        return CameraProcess(FolderDriver(settings.path(chosen.folder), keep=chosen.keep)), None
    adjust = {str(name): value for name, value in chosen.adjust.items()}
    return CameraProcess(WebcamDriver(chosen.device, adjust=adjust)), None


def display_of(settings: Settings, *, headless: bool) -> Display:
    """Open the sitter's screen, or draw for nobody."""
    if headless:
        os.environ["SDL_VIDEODRIVER"] = "dummy"
    return Display(None if settings.screen.fullscreen and not headless else settings.screen.size_px)


def voice_of(settings: Settings) -> Voice:
    """Return the voice, which is silent where the settings name no folder."""
    return Voice(settings.voice_folder)


def printer_of(settings: Settings, clock: Clock) -> Printer:
    """Return the printer; errors as those of `queues_of`."""
    if isinstance(settings.printer, FolderPrint):
        return FolderPrinter(settings.path(settings.printer.folder), clock)
    by_paper: dict[str, list[Printer]] = {}
    for queue in queues_of(settings, clock):
        by_paper.setdefault(queue.medium.name, []).append(queue)
    printers = {name: FallbackPrinter(*both) if both[1:] else both[0] for name, both in by_paper.items()}
    return PrinterByPaper(printers) if len(printers) > 1 else next(iter(printers.values()))


def queues_of(settings: Settings, clock: Clock) -> list[CupsPrinter]:
    """Return the queues of the print server that the settings name, the first one first; none for a folder.

    Raises
    ------
    MissingPart
        pycups is not installed.
    """
    chosen = settings.printer
    if isinstance(chosen, FolderPrint):
        return []
    try:
        from kiosk.devices.cups.connection import Queue
        from kiosk.devices.cups.printer import CupsPrinter, Printing
    except ImportError as error:
        raise MissingPart(part="pycups", detail=str(error)) from error
    scales, jobs = Scales(settings.printing / "scales"), Jobs(settings.printing / "jobs")
    usual = (medium(settings.paper.medium), Margins(*settings.paper.margins_mm))
    lying = [(one, usual) for one in (chosen, chosen.second) if one is not None]
    for more in settings.paper.more:
        paper = (medium(more.medium), Margins(*more.margins_mm))
        lying.append((CupsQueue(queue=more.queue), paper))
    return [
        CupsPrinter(
            Queue(one.queue, port=chosen.port),
            Printing(*paper, one.borderless, one.options, chosen.limit_s),
            scales,
            jobs,
            clock,
        )
        for one, paper in lying
    ]


def kept_scales(settings: Settings) -> list[Kept]:
    """Return what is kept of the scales of the settings' printers, and of those they named before."""
    return Scales(settings.printing / "scales").all()


def printers_standing(settings: Settings, clock: Clock) -> list[PrinterStanding]:
    """Return how each printer of the settings stands, for a check before the booth opens.

    Prints nothing. A printer that cannot be reached is a standing with an obstacle, not an error; errors as those of
    `queues_of`.
    """
    if isinstance(settings.printer, FolderPrint):
        printer = printer_of(settings, clock)
        paper = medium(settings.paper.medium).name
        try:
            printer.check()
        except PrinterFault as fault:
            return [PrinterStanding(printer.name, paper, str(fault), next_step=fault.advice)]
        return [PrinterStanding(printer.name, paper)]
    return [queue.standing() for queue in queues_of(settings, clock)]


def still_px_of(settings: Settings) -> tuple[int, int]:
    """Return the size of the camera's stills."""
    if isinstance(settings.camera, camera_settings.SimulatedCamera):
        return round(STILL_PX.width), round(STILL_PX.height)
    return settings.camera.still_px
