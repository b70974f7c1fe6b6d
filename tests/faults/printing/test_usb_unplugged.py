"""A printer on the USB that is switched off or unplugged is told before a sheet is sent, whatever its backend."""

import pytest

from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.device import device_of
from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet

ADDRESSES = ["usb://Some%20Maker/Photo?serial=A%2F12", "gutenprint53+usb://some-printer/A%2F12"]


@pytest.fixture
def usb(tmp_path):
    """Return what the kernel would show of two devices, one of them without a serial number."""
    folder = tmp_path / "devices"
    (folder / "1-1").mkdir(parents=True)
    (folder / "1-2").mkdir()
    (folder / "1-2" / "serial").write_text("A/12\n")
    return folder


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_printer_is_there_as_long_as_its_serial_number_is(usb, address):
    device = device_of(address, usb)
    assert device.standing().reasons == ()
    assert device.jobs() is None
    (usb / "1-2" / "serial").unlink()
    assert device.standing().reasons == ("offline",)


@pytest.mark.parametrize(
    "address", ["usb://Some%20Maker/Photo", "ipp://192.0.2.7/ipp/print", "dnssd://x._ipp._tcp.local/", "file:/dev/null"]
)
def test_a_device_elsewhere_or_without_a_serial_number_is_never_asked(usb, address):
    assert device_of(address, usb) is None


def test_a_queue_whose_printer_is_unplugged_gets_no_sheet(rig, usb):
    rig.lab.lpadmin("-p", "photo", "-v", ADDRESSES[0])
    printer = rig.open()
    printer._queue = Queue("photo", "localhost", rig.lab.port, usb)
    printer.check()
    (usb / "1-2" / "serial").unlink()
    with pytest.raises(PrinterFault, match="switched off or unplugged"):
        printer.print_sheet(sheet())
