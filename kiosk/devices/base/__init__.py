"""The contracts of cameras, printers and payment units, and what they report."""

from kiosk.devices.base.camera import (
    LOW_BATTERY_PERCENT,
    Camera,
    CameraEvent,
    DeviceSettings,
    LiveFrame,
    StillTaken,
)
from kiosk.devices.base.device import DeviceFailed, DeviceNotice, DeviceReady, DeviceState
from kiosk.devices.base.payment import (
    Charge,
    PaymentAnswer,
    PaymentEvent,
    PaymentMoved,
    PaymentOutcome,
    PaymentUnit,
    RefundOutcome,
    Taken,
)
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
    "Charge",
    "ColourStanding",
    "DeviceFailed",
    "DeviceNotice",
    "DeviceReady",
    "DeviceSettings",
    "DeviceState",
    "LiveFrame",
    "PaymentAnswer",
    "PaymentEvent",
    "PaymentMoved",
    "PaymentOutcome",
    "PaymentUnit",
    "PrintJob",
    "PrintState",
    "PrintStatus",
    "Printer",
    "PrinterEvent",
    "PrinterStanding",
    "RefundOutcome",
    "StillTaken",
    "Supply",
    "Taken",
]
