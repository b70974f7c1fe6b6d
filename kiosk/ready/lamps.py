"""Check the light that the program works: its chips, the lamps in the live picture, and the flash's exposure."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

import gpiod

from kiosk.core.camera_setup.exposure import seconds
from kiosk.core.view.finding import Finding
from kiosk.devices.base import Camera, CameraEvent, DeviceSettings
from kiosk.devices.gpio.simulated import SIMULATED
from kiosk.devices.light.lit_camera import LitCamera
from kiosk.errors import LineFault, UnreadablePhoto
from kiosk.settings import Settings
from kiosk.settings.light import AnyFlash, LightSettings, LineFlashSettings
from kiosk.system.clock import Clock
from kiosk.vision.pictures.arrays import luma
from kiosk.vision.pictures.photo_file import decode_still

DARK_S, LIT_S = 1.5, 2.5
"""For how long the live picture is watched with the lamps off, while they cool down, and on after they are warm."""
BRIGHTER = 8.0
"""By how much of 255 the lamps must at least brighten the live picture: several times what its mean varies by when
nothing is switched, and before a camera that exposes by itself has followed (this project's own choice)."""
LINE_FLASH_S = 0.5
"""The shortest exposure that a pulse meets: from order to shutter a body on USB takes a few tenths of a second, never
the same (practice)."""
SYNC_S = 1 / 200
"""The shortest exposure at which a focal-plane shutter is fully open for a flash; many bodies reach 1/250 s, few less
than 1/160 s (from memory)."""


def line_findings(settings: Settings) -> Iterator[Finding]:
    """Yield a finding for each chip of the settings that is not there, or is simulated; requests no line."""
    lamps, flash = settings.light.lamps, settings.light.flash
    lines = {"lamps": lamps, "flash": flash if isinstance(flash, LineFlashSettings) else None}
    for name, line in lines.items():
        if line is None:
            continue
        where = f"{settings.file}: light.{name}.chip"
        if line.chip == SIMULATED:
            sentence = f"{where}: the chip is simulated; it switches nothing."
            yield Finding(name, SIMULATED, "", False, sentence, "Write the chip's own device file.", "light")
        elif not Path(line.chip).exists() or not gpiod.is_gpiochip_device(line.chip):
            sentence = f"{where}: {line.chip} is no GPIO chip of this machine."
            yield Finding(name, line.chip, "", False, sentence, LineFault.next_step, "light", stops=True)


def light_findings(
    camera: Camera, clock: Clock, chosen: LightSettings, reported: DeviceSettings, events: list[CameraEvent]
) -> Iterator[Finding]:
    """Yield findings on lamps and flash of a camera that has started; the lamps are on afterwards, for a while.

    Parameters
    ----------
    camera
        The camera, with its light if the settings have one.
    clock
        The booth's clock.
    chosen
        The light of the settings.
    reported
        How the camera says that it is set.
    events
        Receives what the camera reports meanwhile.
    """
    if chosen.lamps is not None and isinstance(camera, LitCamera):
        yield from _lamps(camera, clock, chosen.lamps.warm_up_s, events)
    if chosen.flash is not None:
        yield from _flash(chosen.flash, reported)


def _lamps(camera: LitCamera, clock: Clock, warm_up_s: float, events: list[CameraEvent]) -> Iterator[Finding]:
    """Switch the lamps on, and check whether the live picture becomes brighter; a camera may have no live picture."""
    dark = _brightness(camera, clock, DARK_S, events)[-1:]
    camera.need_light()
    lit = _brightness(camera, clock, warm_up_s + LIT_S, events)
    fault = camera.fault
    if fault is not None:
        yield Finding("lamps", fault.key, "", False, str(fault), fault.advice, "light", stops=True)
    elif dark and lit:
        brighter = max(0.0, max(lit) - dark[0])
        sentence = f"The lamps make the live picture brighter by {brighter:.0f} of 255; {BRIGHTER:g} are needed."
        advice = "Look whether they burn; check their plug, bulbs and relay, and active_low under [light]."
        good = brighter >= BRIGHTER
        yield Finding("lamps", round(brighter, 1), "", good, sentence, advice, "light", stops=True)


def _flash(flash: AnyFlash, reported: DeviceSettings) -> Iterator[Finding]:
    """Check whether the exposure is long enough for the flash, if the camera reports it."""
    shutter = reported.settings.get("shutter")
    exposure_s = seconds(shutter.now) if shutter is not None else None
    if shutter is None or exposure_s is None:
        return
    by_line = isinstance(flash, LineFlashSettings)
    least_s, least = (LINE_FLASH_S, f"{LINE_FLASH_S:g} s") if by_line else (SYNC_S, f"1/{1 / SYNC_S:.0f} s")
    sentence = f"The exposure is {shutter.now}; a flash fired by {'a line' if by_line else 'the camera'} needs {least}."
    advice = "Set shutter under adjust in [camera] to a longer time, and darken the room rather than shorten it."
    good = exposure_s >= least_s * 0.99
    yield Finding("flash_exposure", round(exposure_s, 4), "s", good, sentence, advice, "light")


def _brightness(camera: LitCamera, clock: Clock, span_s: float, events: list[CameraEvent]) -> list[float]:
    """Return the mean luma, 0 to 255, of the live pictures of a time; damaged ones are passed over."""
    end_s, last, means = clock.now_s() + span_s, -1, []
    while clock.now_s() < end_s:
        events += camera.poll()
        frame = camera.newest()
        if frame is not None and frame.sequence != last:
            last = frame.sequence
            with contextlib.suppress(UnreadablePhoto):
                means.append(float(luma(decode_still(frame.jpeg)).mean()))
        clock.sleep(0.02)
    return means
