"""Setting up exposure and white balance: a grey card at the sitter's place, shot once; no picture is kept."""

from __future__ import annotations

from kiosk.clock import Clock
from kiosk.core.grey_card import card_findings
from kiosk.core.readiness import Finding
from kiosk.devices.base import Camera, CameraEvent, DeviceReady, DeviceSettings, StillTaken
from kiosk.ready.camera import FIND_S, SHOT_S, wait_for
from kiosk.vision.grey_card import measure_card
from kiosk.vision.photo_file import decode_still


def grey_card_findings(camera: Camera, clock: Clock) -> list[Finding]:
    """Start the camera, shoot the card, and return what to change; the caller closes it.

    Raises
    ------
    CameraFault
        No camera came, or no picture.
    """
    events: list[CameraEvent] = []
    camera.start()
    wait_for(camera, clock, DeviceReady, FIND_S, events)
    camera.tell_settings()
    told = wait_for(camera, clock, DeviceSettings, FIND_S, events)
    camera.shoot()
    rgb = decode_still(wait_for(camera, clock, StillTaken, SHOT_S, events).jpeg)
    return list(card_findings(measure_card(rgb), told))
