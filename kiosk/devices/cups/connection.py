"""Connections to the print server, through pycups: a new one for each request, so that the server may restart.

pycups keeps the server's address for the whole process; a booth talks to one server. It decodes no collections and
gives a driver's description only over TCP, so the address is a host and a port.
"""

from __future__ import annotations

import contextlib
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cups

from kiosk.devices.base import Supply
from kiosk.devices.cups.device import USB_FOLDER, Device, device_of
from kiosk.devices.cups.media import QueueDriver, read_driver
from kiosk.devices.cups.options import TITLE
from kiosk.devices.cups.standing import read_standing
from kiosk.errors import KioskError, PrinterFault

SERVER_PORT = 631
_BUSY, _STOPPED = 4, 5
_REMOVALS, _REMOVAL_S = 50, 0.05
_MEANINGS = {
    1030: "the print server knows no such queue or job",
    1033: "the print server has no room for the sheet; its disk may be full",
    1280: "the print server does not answer",
    1282: "the print server does not answer",
    1285: "the print server is busy",
    1286: "its queue takes no sheets",
}
"""IPP status codes (RFC 8011, 4.1.6, and CUPS's own from 0x0500)."""

_QUEUE = ["printer-state", "printer-state-reasons", "printer-state-message", "printer-is-accepting-jobs", "device-uri"]
_MARKERS = ["marker-names", "marker-levels", "marker-low-levels", "marker-types"]
_POLICY = "printer-error-policy"
_DEFAULT = "-default"
_FICKLE = ("print-color-mode-default",)
"""Defaults that CUPS 2.4.2 derives from the driver at each start, with varying results (seen in one start of four)."""
_JOB = ["job-state", "job-state-reasons", "job-printer-state-message", "job-impressions-completed"]
_NAMED = ["job-id", "job-name", "job-printer-uri", "job-uuid"]
"""CUPS 2.4.2 tells no name of an ended job that is out of its memory, unless it is asked for more, and reads it in."""


class NoServer(PrinterFault):
    """The print server does not answer."""


@dataclass(frozen=True, slots=True)
class QueueState:
    """The state of a queue as the server reports it.

    `supplies` are as the part of its driver that talks to the device has last reported them, during a sheet: the server
    knows nothing of a ribbon that was changed since (`ATTR: marker-levels`, cups 2.4.2).
    """

    busy: bool
    stopped: bool
    accepting: bool
    reasons: tuple[str, ...]
    message: str
    policy: str
    device_uri: str
    supplies: tuple[Supply, ...] = ()


@dataclass(frozen=True, slots=True)
class JobState:
    """The state of a job as the server reports it: IPP state (RFC 8011, 5.3.7), reasons and the queue's message.

    `impressions` are the sides that the server's filters made of it; none of them need have come out.
    """

    state: int
    reasons: tuple[str, ...]
    message: str
    impressions: int


class Queue:
    """One queue of the print server."""

    def __init__(self, name: str, host: str = "localhost", port: int = SERVER_PORT, usb: Path = USB_FOLDER) -> None:
        self.name = name
        self._host = host
        self._port = port
        self._usb = usb

    def driver(self) -> QueueDriver:
        """Return the description of its driver.

        Raises
        ------
        PrinterFault
            It has none, or the server does not answer.
        """
        with self._server() as server:
            status, _, path = server.getPPD3(self.name)
        if not path:
            missing = f"it has no driver (HTTP {status})" if status else "the print server does not answer"
            raise PrinterFault(printer=self.name, detail=missing)
        try:
            return read_driver(Path(path).read_text(encoding="utf-8", errors="replace"))
        finally:
            Path(path).unlink()

    def state(self) -> QueueState:
        """Return its state; `NoServer` if the server does not answer."""
        with self._server() as server:
            found = server.getPrinterAttributes(self.name, requested_attributes=[*_QUEUE, *_MARKERS, _POLICY])
        return QueueState(
            found["printer-state"] == _BUSY,
            found["printer-state"] == _STOPPED,
            bool(found["printer-is-accepting-jobs"]),
            _words(found.get("printer-state-reasons")),
            str(found.get("printer-state-message") or ""),
            str(found.get(_POLICY) or ""),
            str(found.get("device-uri") or ""),
            read_standing({name: found.get(name) for name in _MARKERS}).supplies,
        )

    def defaults(self) -> dict[str, str]:
        """Return the defaults of the queue itself, which the server adds to a job that does not say otherwise."""
        with self._server() as server:
            found = server.getPrinterAttributes(self.name)
        return {name: str(value) for name, value in found.items() if name.endswith(_DEFAULT) and name not in _FICKLE}

    def device(self, uri: str) -> Device | None:
        """Return the device at an address, or None where it may not be asked."""
        return device_of(uri, self._usb)

    def create(self, options: Mapping[str, str]) -> int:
        """Create a job without a document and return its number; nothing is printed yet."""
        with self._server() as server:
            return int(server.createJob(self.name, TITLE, dict(options)))

    def send(self, number: int, pdf: bytes) -> None:
        """Send a job its document, which starts it; no copy of the document is made on the way to the server."""
        with self._server() as server:
            server.startDocument(self.name, number, TITLE, "application/pdf", 1)
            server.writeRequestData(pdf, len(pdf))
            server.finishDocument(self.name)

    def job(self, number: int) -> JobState:
        """Return the state of a job."""
        with self._server() as server:
            found = server.getJobAttributes(number, _JOB)
        reasons, message = _words(found.get("job-state-reasons")), str(found.get("job-printer-state-message") or "")
        return JobState(int(found["job-state"]), reasons, message, int(found.get("job-impressions-completed") or 0))

    def remove(self, number: int) -> None:
        """Cancel a job if it has not ended, and remove every trace of it.

        A job is purged only after its queue has let go of it: the server kills what sends a sheet when it purges one,
        and then the device never learns that the sheet is called back.
        """
        with self._server() as server, contextlib.suppress(cups.IPPError):
            server.cancelJob(number)
        with self._server() as server, contextlib.suppress(cups.IPPError):
            for _ in range(_REMOVALS):
                if not self.state().busy:
                    break
                time.sleep(_REMOVAL_S)
            for _ in range(_REMOVALS):
                server.cancelJob(number, purge_job=True)
                time.sleep(_REMOVAL_S)

    def leftovers(self) -> list[int]:
        """Return the booth's own jobs, ended or not, that the server still knows for this queue."""
        with self._server() as server:
            jobs: dict[int, dict[str, Any]] = server.getJobs(
                which_jobs="all", my_jobs=True, requested_attributes=_NAMED
            )
        mine = (number for number, job in jobs.items() if job.get("job-name") == TITLE)
        return sorted(n for n in mine if str(jobs[n].get("job-printer-uri", "")).endswith(f"/{self.name}"))

    @contextlib.contextmanager
    def _server(self) -> Iterator[Any]:
        """Connect, and turn the server's errors into faults of the printer."""
        cups.setServer(self._host)
        cups.setPort(self._port)
        try:
            yield cups.Connection(self._host, self._port)
        except RuntimeError as error:
            raise NoServer(printer=self.name, detail="the print server does not answer") from error
        except cups.IPPError as error:
            status = error.args[0]
            detail = _MEANINGS.get(status, f"the print server refused (IPP status {status:#06x})")
            kind: type[KioskError] = NoServer if detail == _MEANINGS[1282] else PrinterFault
            raise kind(printer=self.name, detail=detail) from error


def _words(found: object) -> tuple[str, ...]:
    """Return keywords, of which pycups gives one alone as a string."""
    said = [found] if isinstance(found, str) else found if isinstance(found, list) else []
    return tuple(str(word) for word in said if word != "none")
