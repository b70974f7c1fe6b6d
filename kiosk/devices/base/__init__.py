"""The contracts of cameras and printers, and what they report."""

from kiosk.devices.base.camera import (
    LOW_BATTERY_PERCENT,
    Camera,
    CameraEvent,
    DeviceSettings,
    LiveFrame,
    StillTaken,
)
from kiosk.devices.base.device import DeviceFailed, DeviceNotice, DeviceReady, DeviceState
from kiosk.devices.base.printer import (
    ColourStanding,
    Printer,
    PrinterEvent,
    PrinterStanding,
    PrintJob,
    PrintState,
    PrintStatus,
    Supply,
)

__all__ = [
    "LOW_BATTERY_PERCENT",
    "Camera",
    "CameraEvent",
    "ColourStanding",
    "DeviceFailed",
    "DeviceNotice",
    "DeviceReady",
    "DeviceSettings",
    "DeviceState",
    "LiveFrame",
    "PrintJob",
    "PrintState",
    "PrintStatus",
    "Printer",
    "PrinterEvent",
    "PrinterStanding",
    "StillTaken",
    "Supply",
]
