"""A camera, a sitter and a printer that fail, and mend, as a test wants it."""

from kiosk.core.base.measurement import Measurement
from kiosk.devices.base import DeviceFailed, DeviceReady
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.errors import CameraFault, PrinterFault
from tests.support.quick_booth import Sights, SteadyCamera
from tests.support.sights import DOCUMENT, conforming, seen


class RestlessCamera(SteadyCamera):
    """A camera that loses shots, and goes and comes back, on request."""

    def __init__(self):
        super().__init__()
        self.loses = False

    def shoot(self, ticket):
        if self.loses:
            self._events.append(DeviceFailed(CameraFault(detail="it could not focus on the sitter"), ticket))
        else:
            super().shoot(ticket)

    def go(self):
        self.state = "fault"
        self._events.append(DeviceFailed(CameraFault(detail="the connection broke")))

    def come_back(self):
        if self.state != "ready":
            self.state = "ready"
            self._events.append(DeviceReady("restless"))


class RestlessSights(Sights):
    """A sitter who sometimes sits well."""

    def __init__(self, chance):
        self._chance = chance
        self.is_well = True

    def observe(self, rgb):
        return seen() if self.is_well else seen(dx=0.3, scale=0.5)

    def measure(self, rgb, focal_length_px=None):
        which = self._chance.random()
        if which < 0.2:
            return conforming(DOCUMENT, yaw=Measurement("yaw", None, "deg"))
        return conforming(DOCUMENT) if which < 0.75 else seen(scale=0.4)


class RestlessPrinter(FolderPrinter):
    """A printer that stops on request."""

    stops = False

    def check(self):
        if self.stops:
            raise PrinterFault(printer="restless", detail="the paper has jammed")

    def print_sheet(self, job):
        self.check()
        return super().print_sheet(job)
