"""Setting up exposure and white balance: a grey card at the sitter's place, shot once; no picture is kept."""

from __future__ import annotations

from kiosk.core.camera_setup.grey_card import card_findings
from kiosk.core.view.finding import Finding
from kiosk.devices.base import Camera, CameraEvent, DeviceReady, DeviceSettings, StillTaken
from kiosk.ready.camera import FIND_S, SHOT_S, wait_for
from kiosk.system.clock import Clock
from kiosk.vision.pictures.photo_file import decode_still
from kiosk.vision.targets.grey_card import measure_card


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
