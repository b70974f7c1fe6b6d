"""Check a booth's camera: find it, watch its live view, release it once, and examine the picture.

The camera is used by polling, as the booth uses it. The picture is not stored.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from kiosk.core.base.ticket import Ticket
from kiosk.core.view.finding import Finding
from kiosk.devices.base import (
    LOW_BATTERY_PERCENT,
    Camera,
    CameraEvent,
    DeviceFailed,
    DeviceNotice,
    DeviceReady,
    DeviceSettings,
    StillTaken,
)
from kiosk.errors import CameraFault
from kiosk.ready.lamps import light_findings
from kiosk.ready.picture import seated_findings, size_finding
from kiosk.settings.light import LightSettings
from kiosk.system.clock import Clock
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.pictures.photo_file import decode_still

FIND_S = 20.0
WATCH_S = 3.0
SHOT_S = 30.0

LIVE_RATE_HZ = 10.0
"""The minimum rate of live frames; at a lower one, instructions come after the sitter's movement is over (practice)."""

SHUTTER_LAG_S = 4.0
"""The maximum time from the order to the transferred picture; a sitter holds still for a few seconds only
(practice)."""

NO_LIGHT = LightSettings()

CameraEventT = TypeVar("CameraEventT", bound=CameraEvent)


def camera_findings(
    camera: Camera,
    clock: Clock,
    still_px: tuple[int, int],
    judge: Callable[[Rgb], list[Finding]] = seated_findings,
    light: LightSettings = NO_LIGHT,
) -> list[Finding]:
    """Start the camera, try it, and return the findings; the caller closes it.

    Parameters
    ----------
    camera
        The camera, not started yet.
    clock
        The booth's clock.
    still_px
        Width and height of a still according to the settings.
    judge
        Returns the findings on the picture's content.
    light
        The light of the settings.

    Raises
    ------
    CameraFault
        No camera or no picture arrived in time; if the camera reported a fault, it is that one.
    """
    camera.start()
    events: list[CameraEvent] = []
    model = wait_for(camera, clock, DeviceReady, FIND_S, events).model
    findings = [Finding("camera", model, "", True, f"{model} responds.")]
    camera.request_settings()
    reported = wait_for(camera, clock, DeviceSettings, FIND_S, events)
    findings += _reported(reported)
    findings.append(_live_rate(camera, clock, events))
    findings += light_findings(camera, clock, light, reported, events)
    began_s = clock.now_s()
    camera.shoot(Ticket(1, "attendant"))
    jpeg = wait_for(camera, clock, StillTaken, SHOT_S, events).jpeg
    lag_s = clock.now_s() - began_s
    findings.append(
        Finding(
            "shutter_lag",
            round(lag_s, 2),
            "s",
            lag_s <= SHUTTER_LAG_S,
            f"The picture arrived {lag_s:.1f} s after the order; the limit is {SHUTTER_LAG_S:g} s.",
            "Set the picture to JPEG without raw, and use a faster USB port and a short cable.",
        )
    )
    rgb = decode_still(jpeg)
    findings += [size_finding(rgb, still_px), *judge(rgb)]
    _poll_for(camera, clock, WATCH_S / 3, events)
    notices = [event.text for event in events if isinstance(event, DeviceNotice)]
    findings += [
        Finding("notice", text, "", False, text, "See to it before the booth opens.") for text in dict.fromkeys(notices)
    ]
    return findings


def _reported(reported: DeviceSettings) -> list[Finding]:
    """Check the battery, the room on the card and the automatic modes, as far as the camera reports them."""
    findings = []
    if "battery" in reported.settings:
        charge = reported.settings["battery"].now
        percent = charge.removesuffix("%").strip()
        good = not percent.isdigit() or int(percent) > LOW_BATTERY_PERCENT
        sentence = f"The camera's battery is at {charge}."
        findings.append(Finding("battery", charge, "", good, sentence, "Fit a mains adapter, or a charged battery."))
    if reported.room is not None:
        sentence = f"The camera's card has room for {reported.room} pictures."
        findings.append(Finding("card", reported.room, "pictures", reported.room > 0, sentence, "Empty the card."))
    if reported.automatic:
        names = " and ".join(reported.automatic)
        sentence = f"The camera sets {names} by itself, so that photos differ from sitter to sitter."
        advice = "Give them values under adjust in [camera], with the lamps on and a sitter; turn a mode dial to M."
        findings.append(Finding("automatic", names, "", False, sentence, advice))
    return findings


def _live_rate(camera: Camera, clock: Clock, events: list[CameraEvent]) -> Finding:
    first = camera.newest()
    began_s = clock.now_s()
    _poll_for(camera, clock, WATCH_S, events)
    last = camera.newest()
    span_s = clock.now_s() - began_s
    rate_hz = (last.sequence - first.sequence) / span_s if first and last else 0.0
    return Finding(
        "live_rate",
        round(rate_hz, 1),
        "Hz",
        rate_hz >= LIVE_RATE_HZ,
        f"The live view delivers {rate_hz:.1f} pictures per second; {LIVE_RATE_HZ:g} are needed.",
        "Set the body to still photos instead of movies, and use a USB port of the machine itself, without a hub.",
    )


def wait_for(
    camera: Camera, clock: Clock, kind: type[CameraEventT], limit_s: float, events: list[CameraEvent]
) -> CameraEventT:
    """Poll until an event of a kind arrives, and return it; all events are appended to `events`.

    A fault of the camera does not end the wait, because the camera may come back.

    Raises
    ------
    CameraFault
        No such event arrived within `limit_s`; the last fault that the camera reported.
    KioskError
        The camera failed while a still was awaited, or in a way that waiting does not help.
    """
    end_s = clock.now_s() + limit_s
    fault = CameraFault(detail="no camera is connected, or it is switched off")
    while clock.now_s() < end_s:
        arrived = camera.poll()
        events += arrived
        for event in arrived:
            if isinstance(event, kind):
                return event
            if isinstance(event, DeviceFailed):
                if kind is StillTaken or not isinstance(event.error, CameraFault):
                    raise event.error
                fault = event.error
        clock.sleep(0.002)
    raise fault


def _poll_for(camera: Camera, clock: Clock, span_s: float, events: list[CameraEvent]) -> None:
    end_s = clock.now_s() + span_s
    while clock.now_s() < end_s:
        events += camera.poll()
        clock.sleep(0.005)
