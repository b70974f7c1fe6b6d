"""Whether a booth's camera is fit for the day: looked for, watched, released once, and its picture looked at.

Every finding is one sentence with a number and, where it is bad, a next step. The camera is used as the booth uses it,
by polling; nothing is kept of the picture.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import cv2
import numpy as np

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
"""Fewer live frames a second and the sitter is told of a movement after it is over: practice."""

SHUTTER_LAG_S = 4.0
"""A sitter holds still for some seconds, not more: practice, from the order to the picture in hand."""

DARK_SHARE, BRIGHT_SHARE = 0.25, 0.01
"""How much of the picture may be blacker than luma 16 or whiter than 250: practice, before a light backdrop."""

MEAN_LUMA = (90.0, 200.0)
"""Mean luma of a face or target before a light backdrop, 0 to 255: practice."""

SHARPNESS = 0.2
"""Least sharpness, between what was measured on the demo's sitter: 0.32 as it is, 0.24 after a blur of 1 px of the
1100 that are looked at, 0.14 after 2 px."""

_TARGET_PX = 1000
CameraEventT = TypeVar("CameraEventT", bound=CameraEvent)


def seated_findings(rgb: Rgb) -> list[Finding]:
    """Return how a picture of a face or target at the sitter's place is exposed, and how sharp it is."""
    return [*_exposure(rgb), _sharpness(rgb)]


def camera_findings(
    camera: Camera,
    clock: Clock,
    still_px: tuple[int, int],
    judge: Callable[[Rgb], list[Finding]] = seated_findings,
) -> list[Finding]:
    """Start the camera, try it, and return what was found; the caller closes it.

    Parameters
    ----------
    still_px
        Width and height that the settings expect.
    judge
        Looks at the picture that was taken.

    Raises
    ------
    CameraFault
        No camera came, or no picture; the camera's own fault where it told one.
    """
    camera.start()
    events: list[CameraEvent] = []
    model = wait_for(camera, clock, DeviceReady, FIND_S, events).model
    findings = [Finding("camera", model, "", True, f"{model} answers.")]
    camera.tell_settings()
    findings += _supplies(wait_for(camera, clock, DeviceSettings, FIND_S, events))
    findings.append(_live_rate(camera, clock, events))
    began_s = clock.now_s()
    camera.shoot()
    jpeg = wait_for(camera, clock, StillTaken, SHOT_S, events).jpeg
    lag_s = clock.now_s() - began_s
    findings.append(
        Finding(
            "shutter_lag",
            round(lag_s, 2),
            "s",
            lag_s <= SHUTTER_LAG_S,
            f"The picture was in hand {lag_s:.1f} s after the order; the limit is {SHUTTER_LAG_S:g} s.",
            "Set the picture to JPEG without raw, and use a faster USB port and a short cable.",
        )
    )
    rgb = decode_still(jpeg)
    findings += [_size(rgb, still_px), *judge(rgb)]
    _turn(camera, clock, WATCH_S / 3, events)
    notices = [event.text for event in events if isinstance(event, DeviceNotice)]
    findings += [
        Finding("notice", text, "", False, text, "See to it before the booth opens.") for text in dict.fromkeys(notices)
    ]
    return findings


def still_findings(rgb: Rgb, still_px: tuple[int, int]) -> list[Finding]:
    """Return what a still tells of the camera: its size, exposure and sharpness."""
    return [_size(rgb, still_px), *seated_findings(rgb)]


def _supplies(told: DeviceSettings) -> list[Finding]:
    """Return what is left of the battery and on the card, as far as the camera says it."""
    findings = []
    if "battery" in told.settings:
        charge = told.settings["battery"].now
        percent = charge.removesuffix("%").strip()
        good = not percent.isdigit() or int(percent) > LOW_BATTERY_PERCENT
        sentence = f"The camera's battery is at {charge}."
        findings.append(Finding("battery", charge, "", good, sentence, "Fit a mains adapter, or a charged battery."))
    if told.room is not None:
        sentence = f"The camera's card has room for {told.room} pictures."
        findings.append(Finding("card", told.room, "pictures", told.room > 0, sentence, "Empty the card."))
    return findings


def _live_rate(camera: Camera, clock: Clock, events: list[CameraEvent]) -> Finding:
    first = camera.newest()
    began_s = clock.now_s()
    _turn(camera, clock, WATCH_S, events)
    last = camera.newest()
    span_s = clock.now_s() - began_s
    rate_hz = (last.sequence - first.sequence) / span_s if first and last else 0.0
    return Finding(
        "live_rate",
        round(rate_hz, 1),
        "Hz",
        rate_hz >= LIVE_RATE_HZ,
        f"The live view brings {rate_hz:.1f} pictures a second; {LIVE_RATE_HZ:g} are needed.",
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
        f"Write still_px = [{width}, {height}] under [camera] if this is meant; else set the body's picture size.",
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
            f"The picture's mean brightness is {mean:.0f} of 255; before a light backdrop it is {low:g} to {high:g}.",
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
        f"The middle of the picture has a sharpness of {share:.2f}; {SHARPNESS:g} is the least.",
        "Put a face or a printed page at the sitter's place, focus on it, and clean the lens.",
    )


def edge_share(rgb: Rgb) -> float:
    """Return the share of edge contrast that a further blur of 2 px removes, in the middle half of the picture.

    The middle half is brought to 1000 px on its long side first. A re-blur ratio (Crete et al. 2007, from memory).
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
    """Poll until an event of a kind comes; a fault ends the wait at its limit, for the camera may come back."""
    end_s = clock.now_s() + limit_s
    fault = CameraFault(detail="no camera is connected, or it is switched off")
    while clock.now_s() < end_s:
        came = camera.poll()
        events += came
        for event in came:
            if isinstance(event, kind):
                return event
            if isinstance(event, DeviceFailed):
                if kind is StillTaken or not isinstance(event.error, CameraFault):
                    raise event.error
                fault = event.error
        clock.sleep(0.002)
    raise fault


def _turn(camera: Camera, clock: Clock, span_s: float, events: list[CameraEvent]) -> None:
    end_s = clock.now_s() + span_s
    while clock.now_s() < end_s:
        events += camera.poll()
        clock.sleep(0.005)
