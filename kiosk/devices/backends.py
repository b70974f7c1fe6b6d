"""The cameras and payment units that the settings name: the only place that names their backends."""

from __future__ import annotations

from collections.abc import Callable

from pydantic import ValidationError

from kiosk.devices.base import Camera, PaymentUnit
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.folder.camera import FolderDriver
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gpio.line import LineAddress, OutputLine
from kiosk.devices.gpio.simulated import SIMULATED, SimulatedChip
from kiosk.devices.light.lit_camera import Light, LitCamera
from kiosk.devices.light.switches import Pulse, Switches
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
from kiosk.errors import SettingsRefused, os_reason
from kiosk.settings import Settings, refusal
from kiosk.settings import cameras as camera_settings
from kiosk.settings.light import LineFlashSettings, LineSettings
from kiosk.settings.payment import NoPayment, SimulatedPaymentSettings, TerminalPaymentSettings
from kiosk.system.clock import SystemClock


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


def still_px_of(settings: Settings) -> tuple[int, int]:
    """Return the size of the camera's stills."""
    if isinstance(settings.camera, camera_settings.SimulatedCameraSettings):
        return round(STILL_PX.width), round(STILL_PX.height)
    return settings.camera.still_px
