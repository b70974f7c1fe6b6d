"""The devices that the settings name: the only place that names their backends."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from pydantic import ValidationError

from kiosk.core.sheet.imposition import Margins, Medium
from kiosk.core.sheet.media import medium
from kiosk.devices.base import Camera, PaymentUnit, Printer, PrinterStanding
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.cups.witness import RECALL_S
from kiosk.devices.folder.camera import FolderDriver
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gpio.line import LineAddress, OutputLine
from kiosk.devices.gpio.simulated import SIMULATED, SimulatedChip
from kiosk.devices.light.lit_camera import Light, LitCamera
from kiosk.devices.light.switches import Pulse, Switches
from kiosk.devices.printer.by_paper import PrinterByPaper
from kiosk.devices.printer.fallback import FallbackPrinter
from kiosk.devices.printer.queue import HOLD_S
from kiosk.devices.pulses.serial_line import SerialLine
from kiosk.devices.pulses.unit import PulseUnit
from kiosk.devices.rtsp.camera import NetworkCameraDriver
from kiosk.devices.sim.camera import SimulatedCamera, SimulatedDriver
from kiosk.devices.sim.payment import SimulatedPayment
from kiosk.devices.sim.pictures import STILL_PX
from kiosk.devices.sim.scenario import Scenario
from kiosk.devices.terminal.unit import TerminalUnit
from kiosk.devices.terminal.wire import Wire
from kiosk.devices.uvc.camera import WebcamDriver
from kiosk.errors import MissingPart, PrinterFault, SettingsRefused, os_reason
from kiosk.settings import Settings, refusal
from kiosk.settings import cameras as camera_settings
from kiosk.settings.light import LineFlashSettings, LineSettings
from kiosk.settings.payment import NoPayment, SimulatedPaymentSettings, TerminalPaymentSettings
from kiosk.settings.printing import CupsQueueSettings, CupsSettings, FolderPrintSettings, ProfileSettings
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import ScaleFile, Scales
from kiosk.system.clock import Clock, SystemClock

if TYPE_CHECKING:
    from kiosk.devices.cups.colours import QueueColours
    from kiosk.devices.cups.printer import CupsPrinter
    from kiosk.devices.cups.slips import CupsSlipPrinter

CHECKS_S = 120.0
"""What a printer that does not answer adds to a sheet's time: up to 20 s a question (`devices/cups/device.py`)."""


def make_camera(settings: Settings) -> tuple[Camera, Callable[[str], None] | None]:
    """Return the camera, with its light if the program works it, and the ear of a simulated sitter."""
    camera = _make_bare_camera(settings)
    hear = camera.hear if isinstance(camera, SimulatedCamera) else None
    lamps, flash = settings.light.lamps, settings.light.flash
    if lamps is None and flash is None:
        return camera, hear
    chip = SimulatedChip()
    if isinstance(camera, SimulatedCamera) and lamps is not None and lamps.chip == SIMULATED:
        camera.lamps_are_on = lambda: bool(chip.on)
    lamp_line = _output(lamps, chip) if lamps is not None else None
    switches = Switches(lamp_line)
    if isinstance(flash, LineFlashSettings):
        switches = Switches(lamp_line, _output(flash, chip), Pulse(flash.delay_s, flash.pulse_s))
    light = Light(
        warm_up_s=lamps.warm_up_s if lamps is not None else 0.0,
        off_after_s=lamps.off_after_s if lamps is not None else 0.0,
        recycle_s=flash.recycle_s if flash is not None else 0.0,
    )
    return LitCamera(camera, switches, light, SystemClock()), hear


def _output(line: LineSettings, simulated: SimulatedChip) -> OutputLine:
    """Return a line of the settings, on the simulated chip if they say so."""
    address = LineAddress(line.chip, line.line, line.active_low)
    return OutputLine(address, simulated.request_lines) if line.chip == SIMULATED else OutputLine(address)


def _make_bare_camera(settings: Settings) -> SupervisedCamera:
    """Return the camera itself."""
    chosen = settings.camera
    if isinstance(chosen, camera_settings.SimulatedCameraSettings):
        try:
            scenario = Scenario.model_validate(chosen.scenario)
        except ValidationError as error:
            raise refusal(settings.file, error, within="camera.scenario") from error
        return SimulatedCamera(SimulatedDriver(settings.path(chosen.pictures), scenario))
    if isinstance(chosen, camera_settings.TetheredCameraSettings):
        keep, turned_deg = chosen.keep_on_card, chosen.turned_deg
        raw = settings.path(chosen.raw_folder) if chosen.raw_folder else None
        tethered = TetheredDriver(
            chosen.port, chosen.model, chosen.adjust, keep=keep, raw_folder=raw, turned_deg=turned_deg
        )
        return SupervisedCamera(tethered)
    if isinstance(chosen, camera_settings.FolderCameraSettings):
        folder = FolderDriver(settings.path(chosen.folder), keep=chosen.keep, command=chosen.command)
        return SupervisedCamera(folder)
    if isinstance(chosen, camera_settings.NetworkCameraSettings):
        network = NetworkCameraDriver(chosen.address, chosen.user, chosen.password, latency_s=chosen.latency_s)
        return SupervisedCamera(network)
    webcam = WebcamDriver(
        chosen.device,
        adjust={str(name): value for name, value in chosen.adjust.items()},
        serial=chosen.serial,
        size_px=chosen.still_px,
        rate_hz=chosen.rate_hz,
        mains_hz=chosen.mains_hz,
    )
    return SupervisedCamera(webcam)


def make_printer(settings: Settings, clock: Clock) -> Printer:
    """Return the printer; errors as those of `queues_of`."""
    if isinstance(settings.printer, FolderPrintSettings):
        return FolderPrinter(settings.path(settings.printer.folder), clock)
    by_paper: dict[str, list[Printer]] = {}
    for queue in queues_of(settings, clock):
        by_paper.setdefault(queue.medium.name, []).append(queue)
    printers = {name: FallbackPrinter(*both) if both[1:] else both[0] for name, both in by_paper.items()}
    return PrinterByPaper(printers) if len(printers) > 1 else next(iter(printers.values()))


def make_payment_unit(settings: Settings) -> PaymentUnit | None:
    """Return the payment unit, or None where the booth takes no money."""
    chosen = settings.payment
    if isinstance(chosen, NoPayment):
        return None
    if isinstance(chosen, SimulatedPaymentSettings):
        return SimulatedPayment(chosen.way, chosen.answers)
    if isinstance(chosen, TerminalPaymentSettings):
        return TerminalUnit(_wire(settings, chosen))
    if chosen.line is not None:
        from kiosk.devices.pulses.gpio_line import GpioLine

        gpio = GpioLine(chosen.chip, chosen.line, active_low=chosen.active_low, enable_line=chosen.enable_line)
        return PulseUnit(gpio, chosen.value)
    return PulseUnit(SerialLine(chosen.port, chosen.baud, chosen.signal, chosen.byte), chosen.value)


def _wire(settings: Settings, chosen: TerminalPaymentSettings) -> Wire:
    """Return the way to a terminal, with the files that it needs.

    Raises
    ------
    SettingsRefused
        A file of the settings cannot be read.
    """
    certificate = str(settings.path(chosen.certificate)) if chosen.certificate else ""
    if certificate:
        _text_of(settings, "payment.certificate", certificate)
    token = _text_of(settings, "payment.token_file", chosen.token_file).strip() if chosen.token_file else ""
    return Wire(chosen.address, certificate, token)


def _text_of(settings: Settings, where: str, file: str) -> str:
    path = settings.path(file)
    try:
        return path.read_text(encoding="ascii")
    except (OSError, ValueError) as error:
        why = os_reason(error) if isinstance(error, OSError) else "it is no plain text"
        raise SettingsRefused(path=settings.file, where=where, detail=f"{path}: {why}") from error


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


def still_px_of(settings: Settings) -> tuple[int, int]:
    """Return the size of the camera's stills."""
    if isinstance(settings.camera, camera_settings.SimulatedCameraSettings):
        return round(STILL_PX.width), round(STILL_PX.height)
    return settings.camera.still_px
