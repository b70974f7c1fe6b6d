"""Check a booth's camera: find it, watch its live view, release it once, and examine the picture.

The camera is used by polling, as the booth uses it. The picture is not stored.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import cv2
import numpy as np

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
from kiosk.system.clock import Clock
from kiosk.vision.pictures.arrays import Rgb, luma
from kiosk.vision.pictures.photo_file import decode_still

FIND_S = 20.0
WATCH_S = 3.0
SHOT_S = 30.0

LIVE_RATE_HZ = 10.0
"""The minimum rate of live frames; at a lower one, instructions come after the sitter's movement is over (practice)."""

SHUTTER_LAG_S = 4.0
"""The maximum time from the order to the transferred picture; a sitter holds still for a few seconds only
(practice)."""

DARK_SHARE, BRIGHT_SHARE = 0.25, 0.01
"""The maximum fractions of the picture below luma 16 and above luma 250, with a light backdrop (practice)."""

MEAN_LUMA = (90.0, 200.0)
"""The permitted mean luma, 0 to 255, of a face or target in front of a light backdrop (practice)."""

SHARPNESS = 0.2
"""The minimum sharpness. Measured on the demo's sitter, 1100 px examined: 0.32 unblurred, 0.24 after a blur of 1 px,
0.14 after 2 px."""

_TARGET_PX = 1000
CameraEventT = TypeVar("CameraEventT", bound=CameraEvent)


def seated_findings(rgb: Rgb) -> list[Finding]:
    """Check exposure and sharpness of a picture with a face or target at the sitter's place."""
    return [*_exposure(rgb), _sharpness(rgb)]


def camera_findings(
    camera: Camera,
    clock: Clock,
    still_px: tuple[int, int],
    judge: Callable[[Rgb], list[Finding]] = seated_findings,
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

    Raises
    ------
    CameraFault
        No camera or no picture arrived in time; if the camera reported a fault, it is that one.
    """
    camera.start()
    events: list[CameraEvent] = []
    model = wait_for(camera, clock, DeviceReady, FIND_S, events).model
    findings = [Finding("camera", model, "", True, f"{model} responds.")]
    camera.tell_settings()
    findings += _supplies(wait_for(camera, clock, DeviceSettings, FIND_S, events))
    findings.append(_live_rate(camera, clock, events))
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
    findings += [_size(rgb, still_px), *judge(rgb)]
    _poll_for(camera, clock, WATCH_S / 3, events)
    notices = [event.text for event in events if isinstance(event, DeviceNotice)]
    findings += [
        Finding("notice", text, "", False, text, "See to it before the booth opens.") for text in dict.fromkeys(notices)
    ]
    return findings


def still_findings(rgb: Rgb, still_px: tuple[int, int]) -> list[Finding]:
    """Check the size, exposure and sharpness of a still."""
    return [_size(rgb, still_px), *seated_findings(rgb)]


def _supplies(reported: DeviceSettings) -> list[Finding]:
    """Check the battery and the room on the card, if the camera reports them."""
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


def _size(rgb: Rgb, still_px: tuple[int, int]) -> Finding:
    height, width = rgb.shape[:2]
    return Finding(
        "still_size",
        f"{width} x {height}",
        "px",
        (width, height) == still_px,
        f"The picture has {width} x {height} pixels; the settings say {still_px[0]} x {still_px[1]}.",
        f"Write still_px = [{width}, {height}] under [camera] if this is intended; else set the body's picture size.",
    )


def _exposure(rgb: Rgb) -> list[Finding]:
    grey = luma(rgb)
    mean = float(grey.mean())
    dark, bright = float((grey < 16).mean()), float((grey > 250).mean())
    low, high = MEAN_LUMA
    return [
        Finding(
            "mean_luma",
            round(mean, 1),
            "",
            low <= mean <= high,
            f"The picture's mean brightness is {mean:.0f} of 255; {low:g} to {high:g} are usual on a light backdrop.",
            "Make the picture " + ("brighter" if mean < low else "darker") + " by aperture, ISO or lamps.",
        ),
        Finding(
            "burnt_out",
            round(bright, 4),
            "fraction",
            bright <= BRIGHT_SHARE and dark <= DARK_SHARE,
            f"{100 * bright:.1f} % of it is burnt out and {100 * dark:.0f} % is black;"
            f" {100 * BRIGHT_SHARE:g} % and {100 * DARK_SHARE:g} % are the limits.",
            "Close the aperture by a third of a stop, or move the backdrop's lamps away.",
        ),
    ]


def _sharpness(rgb: Rgb) -> Finding:
    share = edge_share(rgb)
    return Finding(
        "sharpness",
        round(share, 3),
        "ratio",
        share >= SHARPNESS,
        f"The middle of the picture has a sharpness of {share:.2f}; the minimum is {SHARPNESS:g}.",
        "Put a face or a printed page at the sitter's place, focus on it, and clean the lens.",
    )


def edge_share(rgb: Rgb) -> float:
    """Return the fraction of edge contrast that a further blur of 2 px removes from the middle half of the picture.

    This is a re-blur ratio (Crete et al. 2007, from memory). The middle half is first reduced to 1000 px on its long
    side, so that the ratio does not depend on the camera's resolution.
    """
    height, width = rgb.shape[:2]
    middle = luma(rgb[height // 4 : -(height // 4) or None, width // 4 : -(width // 4) or None]).astype(np.float32)
    factor = _TARGET_PX / max(middle.shape)
    if factor < 1:
        middle = np.asarray(cv2.resize(middle, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA))
    grey = cv2.GaussianBlur(middle, (0, 0), 1.0)
    blurred = cv2.GaussianBlur(grey, (13, 13), 2.0)
    before, after = (float(np.abs(np.diff(image, axis=0)).std()) for image in (grey, blurred))
    return 1 - after / before if before > 0 else 0.0


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
