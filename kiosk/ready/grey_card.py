"""Set up exposure and white balance from one shot of a grey card at the sitter's place; no picture is stored."""

from __future__ import annotations

from kiosk.core.base.ticket import Ticket
from kiosk.core.camera_setup.card_findings import card_findings
from kiosk.core.view.finding import Finding
from kiosk.devices.base import Camera, CameraEvent, DeviceReady, DeviceSettings, StillTaken
from kiosk.ready.camera import FIND_S, SHOT_S, wait_for
from kiosk.system.clock import Clock
from kiosk.vision.pictures.photo_file import decode_still
from kiosk.vision.targets.grey_card import measure_card


def grey_card_findings(camera: Camera, clock: Clock) -> list[Finding]:
    """Start the camera, shoot the card, and return the findings; the caller closes the camera.

    Raises
    ------
    CameraFault
        No camera or no picture arrived in time.
    """
    events: list[CameraEvent] = []
    camera.start()
    wait_for(camera, clock, DeviceReady, FIND_S, events)
    camera.request_settings()
    offer = wait_for(camera, clock, DeviceSettings, FIND_S, events)
    camera.shoot(Ticket(1, "attendant"))
    rgb = decode_still(wait_for(camera, clock, StillTaken, SHOT_S, events).jpeg)
    return list(card_findings(measure_card(rgb), offer))
