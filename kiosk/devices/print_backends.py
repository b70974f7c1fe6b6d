"""The printers that the settings name: the only place that names their backends."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kiosk.core.sheet.imposition import Margins, Medium
from kiosk.core.sheet.media import medium
from kiosk.devices.base import Printer, PrinterStanding
from kiosk.devices.cups.witness import RECALL_S
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.printer.by_paper import PrinterByPaper
from kiosk.devices.printer.fallback import FallbackPrinter
from kiosk.devices.printer.queue import HOLD_S
from kiosk.errors import MissingPart, PrinterFault, SettingsRefused, os_reason
from kiosk.settings import Settings
from kiosk.settings.printing import CupsQueueSettings, CupsSettings, FolderPrintSettings, ProfileSettings
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import ScaleFile, Scales
from kiosk.system.clock import Clock

if TYPE_CHECKING:
    from kiosk.devices.cups.colours import QueueColours
    from kiosk.devices.cups.printer import CupsPrinter
    from kiosk.devices.cups.slips import CupsSlipPrinter

CHECKS_S = 120.0
"""What a printer that does not answer adds to a sheet's time: up to 20 s a question (`devices/cups/device.py`)."""


def make_printer(settings: Settings, clock: Clock) -> Printer:
    """Return the printer; errors as those of `queues_of`."""
    if isinstance(settings.printer, FolderPrintSettings):
        return FolderPrinter(settings.path(settings.printer.folder), clock)
    by_paper: dict[str, list[Printer]] = {}
    for queue in queues_of(settings, clock):
        by_paper.setdefault(queue.medium.name, []).append(queue)
    printers = {name: FallbackPrinter(*both) if both[1:] else both[0] for name, both in by_paper.items()}
    return PrinterByPaper(printers) if len(printers) > 1 else next(iter(printers.values()))


def queues_of(settings: Settings, clock: Clock) -> list[CupsPrinter]:
    """Return the queues of the print server that the settings name, the first one first; none for another printer.

    Raises
    ------
    MissingPart
        pycups is not installed.
    SettingsRefused
        A profile cannot be read, or is not that of a printer of red, green and blue.
    """
    chosen = settings.printer
    if not isinstance(chosen, CupsSettings):
        return []
    try:
        from kiosk.devices.cups.connection import Queue
        from kiosk.devices.cups.job import Patience
        from kiosk.devices.cups.printer import CupsPrinter
        from kiosk.devices.cups.set_up import Printing
    except ImportError as error:
        raise MissingPart(part="pycups", detail=str(error)) from error
    scales, jobs = Scales(settings.printing / "scales"), JobJournal(settings.printing / "jobs")
    usual = (medium(settings.paper.medium), Margins(*settings.paper.margins_mm))
    lying: list[tuple[str, CupsQueueSettings, tuple[Medium, Margins]]] = [("printer", chosen, usual)]
    if chosen.second is not None:
        lying.append(("printer.second", chosen.second, usual))
    for number, more in enumerate(settings.paper.more):
        paper = (medium(more.medium), Margins(*more.margins_mm))
        queue = CupsQueueSettings(
            queue=more.queue, borderless=more.borderless, options=more.options, profile=more.profile
        )
        lying.append((f"paper.more.{number}", queue, paper))
    return [
        CupsPrinter(
            Queue(one.queue, port=chosen.port),
            Printing(
                *paper,
                one.borderless,
                one.options,
                Patience(chosen.limit_s),
                _colours_of(settings, one.profile, f"{where}.profile"),
                chosen.needs_colour_proof,
            ),
            scales,
            jobs,
            clock,
        )
        for where, one, paper in lying
    ]


def make_slip_printer(settings: Settings, clock: Clock) -> CupsSlipPrinter | None:
    """Return the printer of receipts, or None where the settings name none.

    Raises
    ------
    MissingPart
        pycups is not installed.
    """
    chosen = settings.receipt
    if chosen is None or not chosen.queue or settings.event is not None:
        return None
    try:
        from kiosk.devices.cups.connection import SERVER_PORT, Queue
        from kiosk.devices.cups.slips import CupsSlipPrinter
    except ImportError as error:
        raise MissingPart(part="pycups", detail=str(error)) from error
    port = settings.printer.port if isinstance(settings.printer, CupsSettings) else SERVER_PORT
    return CupsSlipPrinter(Queue(chosen.queue, port=port), chosen.options, clock)


def _colours_of(settings: Settings, profile: ProfileSettings | None, where: str) -> QueueColours | None:
    """Return the colours of a queue, or None without a profile; errors as `queues_of`."""
    from kiosk.devices.cups.colours import QueueColours, fault_of

    if profile is None:
        return None
    path = settings.path(profile.file)
    try:
        content = path.read_bytes()
    except OSError as error:
        raise SettingsRefused(
            path=settings.file, where=f"{where}.file", detail=f"{path}: {os_reason(error)}"
        ) from error
    if fault := fault_of(content, profile.intent):
        raise SettingsRefused(path=settings.file, where=f"{where}.file", detail=f"{path}: {fault}")
    return QueueColours(content, profile.intent, profile.black_point)


def kept_scales(settings: Settings) -> list[ScaleFile]:
    """Return what was measured of the settings' printers, and of those they named before."""
    return Scales(settings.printing / "scales").all()


def longest_print_s(settings: Settings) -> float:
    """Return for how many seconds at most nothing is heard of a sheet that was sent, or that is held.

    Each of its queues may wait for another program, print, and call the sheet back.
    """
    chosen = settings.printer
    if not isinstance(chosen, CupsSettings):
        return HOLD_S + CHECKS_S
    queues = 1 if chosen.second is None else 2
    return queues * (2 * chosen.limit_s + RECALL_S) + HOLD_S + CHECKS_S


def printers_standing(settings: Settings, clock: Clock) -> list[PrinterStanding]:
    """Return how each printer of the settings stands, for a check before the booth opens.

    Prints nothing. A printer that cannot be reached is a standing with an obstacle, not an error; errors as those of
    `queues_of`.
    """
    if not isinstance(settings.printer, CupsSettings):
        printer = make_printer(settings, clock)
        paper = medium(settings.paper.medium).name
        try:
            printer.check()
        except PrinterFault as fault:
            return [PrinterStanding(printer.name, paper, str(fault), next_step=fault.advice)]
        return [PrinterStanding(printer.name, paper)]
    return [queue.standing() for queue in queues_of(settings, clock)]
