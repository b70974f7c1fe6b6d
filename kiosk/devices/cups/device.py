"""The device behind a queue, asked itself: a print server can call a sheet done that the printer gave up.

Only a device of this machine is asked, so that no network connection is opened: an IPP printer on the loopback, where
USB printers appear through ipp-usb, is asked for its state and its jobs (RFC 8011) with CUPS's own `ipptool`; of a
printer on the USB it is known whether it is there. For any other, the queue's word has to do.
"""

from __future__ import annotations

import csv
import json
import subprocess
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol
from urllib.parse import parse_qs, unquote, urlsplit

from kiosk.devices.cups.options import TITLE
from kiosk.devices.cups.standing import OFFLINE, DeviceStanding, read_standing
from kiosk.errors import PrinterFault

LOOPBACK = ("localhost", "127.0.0.1", "::1")
USB_FOLDER = Path("/sys/bus/usb/devices")
_LIMIT_S = 5
_HERE = Path(__file__).parent
_PENDING, _CANCELED = 3, 7
_STATES = ("pending", "pending-held", "processing", "processing-stopped", "canceled", "aborted", "completed")
"""The names of the job states from 3 on (RFC 8011, 5.3.7), as ipptool writes them."""
_REFUSED = ("unsupported-document-format", "document-format-error", "unsupported-attributes-or-values")
"""Reasons of a job that ended before anything was printed (RFC 8011, 5.3.8)."""


@dataclass(frozen=True, slots=True)
class DeviceJob:
    """A sheet as the device knows it.

    Attributes
    ----------
    state
        Its IPP job-state (RFC 8011, 5.3.7).
    reasons
        Its job-state-reasons.
    named
        Whether it has the booth's title.
    impressions
        Its job-impressions-completed: sides of paper marked and stacked (RFC 8011, 5.3.18.2); 0 also from a device
        that counts none.
    uuid
        Its job-uuid, which no later job has; a number is given again after the device was switched off.
    """

    state: int
    reasons: tuple[str, ...] = ()
    named: bool = True
    impressions: int = 0
    uuid: str = ""

    @property
    def has_ended(self) -> bool:
        """Whether nothing more will be printed of it."""
        return self.state >= _CANCELED

    @property
    def was_refused(self) -> bool:
        """Whether the device gave it up before it printed anything."""
        return any(reason.startswith(_REFUSED) for reason in self.reasons)


class Device(Protocol):
    """The requests to a device; none raises an error if the device does not answer."""

    def standing(self) -> DeviceStanding:
        """Return its state; `offline` if it does not answer."""
        ...

    def jobs(self) -> dict[int, DeviceJob] | None:
        """Return the sheets that it still knows, by its own number; None where it cannot be asked."""
        ...


def device_of(uri: str, usb_folder: Path = USB_FOLDER) -> Device | None:
    """Return the device of a queue, or None where it may not be asked."""
    place = urlsplit(uri)
    if place.scheme in ("ipp", "ipps") and place.hostname in LOOPBACK:
        return IppDevice(uri)
    serial = _usb_serial(uri)
    return UsbDevice(serial, usb_folder) if serial and usb_folder.is_dir() else None


class IppDevice:
    """A printer that speaks IPP on this machine."""

    def __init__(self, uri: str) -> None:
        self._uri = uri

    def standing(self) -> DeviceStanding:
        """Return its own state."""
        answer = self._ask("-j", "state.test")
        try:
            groups = json.loads(answer or "", object_pairs_hook=_first_of_each)
        except ValueError:
            return OFFLINE
        return read_standing({name: value for group in groups for name, value in group.items()})

    def jobs(self) -> dict[int, DeviceJob] | None:
        """Return the sheets."""
        answer = self._ask("-c", "jobs.test")
        if answer is None:
            return None
        jobs = {}
        for row in csv.reader(answer.splitlines()):
            if len(row) == 6 and row[0].isdigit() and row[1] in _STATES:
                state, count = _STATES.index(row[1]) + _PENDING, int(row[4]) if row[4].isdigit() else 0
                jobs[int(row[0])] = DeviceJob(state, tuple(row[2].split(",")), row[3] == TITLE, count, row[5])
        return jobs

    def _ask(self, how: str, questions: str) -> str | None:
        """Return what ipptool prints, or None where the device does not answer."""
        command = ["ipptool", how, "-T", str(_LIMIT_S), self._uri, str(_HERE / questions)]
        try:
            answer = subprocess.run(command, capture_output=True, text=True, timeout=4 * _LIMIT_S, check=True)
        except FileNotFoundError as error:
            detail = "the program ipptool, which asks it for its state, is not installed"
            raise PrinterFault(printer=self._uri, detail=detail) from error
        except (subprocess.SubprocessError, UnicodeDecodeError):
            return None
        return answer.stdout


class UsbDevice:
    """A printer on the USB, of which only its presence is known."""

    def __init__(self, serial: str, folder: Path = USB_FOLDER) -> None:
        self._serial = serial
        self._folder = folder

    def standing(self) -> DeviceStanding:
        """Return `offline` where no device on the USB has its serial number."""
        return DeviceStanding() if self._serial in _serials(self._folder.glob("*/serial")) else OFFLINE

    def jobs(self) -> None:
        """Return None, because a printer on USB cannot be asked for its sheets."""


def _serials(files: Iterable[Path]) -> set[str]:
    found = set()
    for file in files:
        try:
            found.add(file.read_text(encoding="utf-8", errors="replace").strip())
        except OSError:
            continue
    return found


def _usb_serial(uri: str) -> str:
    """Return the serial number in a device's address.

    CUPS's own backend writes `usb://Maker/Model?serial=…`, Gutenprint's writes `gutenprint53+usb://backend/…`.
    """
    place = urlsplit(uri)
    if place.scheme == "usb":
        return parse_qs(place.query).get("serial", [""])[0]
    if place.scheme.endswith("+usb"):
        return unquote(place.path.strip("/"))
    return ""


def _first_of_each(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """Keep the first of two attributes of one name, as every IPP client does."""
    return dict(reversed(pairs))
