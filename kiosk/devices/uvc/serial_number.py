"""Webcams by their serial numbers, which stay when the numbers of their device files change."""

from __future__ import annotations

from pathlib import Path

from kiosk.devices.camera.driver import NotThere

SYSFS = Path("/sys/class/video4linux")
"""Where the kernel lists the video nodes (kernel documentation, sysfs rules): `video0/index` is the place of a node
among its device's, 0 for the one with the pictures; `video0/device` is the USB interface, in the folder of its USB
device, whose `serial` is what the maker gave it."""


def serial_numbers(sysfs: Path = SYSFS) -> dict[str, str]:
    """Return the device file of each webcam that has a serial number, by that number."""
    found = {}
    for node in sorted(sysfs.glob("video*")):
        serial = _text(node / "device" / ".." / "serial")
        if serial and _text(node / "index") == "0":
            found[serial] = f"/dev/{node.name}"
    return found


def device_of(serial: str, sysfs: Path = SYSFS) -> str:
    """Return the device file of the webcam with a serial number.

    Raises
    ------
    NotThere
        None has it.
    """
    found = serial_numbers(sysfs)
    if serial in found:
        return found[serial]
    others = f"; connected are {', '.join(found)}" if found else ""
    raise NotThere(detail=f"no webcam with the serial number {serial} is connected{others}")


def _text(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return ""
