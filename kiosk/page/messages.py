"""What the booth and the page's process say to each other: how things stand one way, PINs and orders the other.

The booth's own messages are pickled. What comes from the process, which talks with strangers, is JSON, and is parsed.
"""

from __future__ import annotations

import ipaddress
import json
import pickle
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Literal, cast

from kiosk.core.view.attendant import DeskIntent, DeskView, OrderName, StatusLine
from kiosk.core.view.kept_sheet import KeptSheet
from kiosk.core.view.metrics import Installed, Metrics

PinAnswer = Literal["right", "wrong", "refused"]
"""The answer to a PIN; `refused` means unchecked, because of the lock or because another PIN is being checked."""


@dataclass(frozen=True, slots=True)
class Endpoint:
    """The address and certificate of the page.

    Attributes
    ----------
    address, port
        The address of an interface of this machine, and the port; 0 takes any free one.
    names
        Host names under which browsers may request the page, besides its address.
    certificate, key
        PEM files; None serves plain HTTP, which the settings allow on a loopback address only.
    """

    address: str
    port: int
    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None


def host_of(name: str) -> str:
    """Return a name or address as a browser puts it into the header `Host` (RFC 3986, 3.2.2; RFC 5952)."""
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return name
    return f"[{address.compressed}]" if address.version == 6 else name


@dataclass(frozen=True, slots=True)
class Monitoring:
    """Who may read the booth's metrics, and what is in them that does not change.

    Attributes
    ----------
    token_hash
        SHA-256 of the token of whoever may read them, in hexadecimal digits.
    """

    token_hash: str = field(repr=False)
    installed: Installed


@dataclass(frozen=True, slots=True)
class Serve:
    """Booth: what to serve, metrics too unless `monitoring` is None; the first message to a process."""

    endpoint: Endpoint
    booth_name: str
    monitoring: Monitoring | None = None


@dataclass(frozen=True, slots=True)
class Shown:
    """Booth: the part of the attendant's view that the page shows; there is neither a guest nor a picture in it."""

    lines: tuple[StatusLine, ...]
    orders: frozenset[OrderName]
    kept: tuple[KeptSheet, ...]
    page_wait_s: int

    @classmethod
    def of(cls, view: DeskView) -> Shown:
        """Return what the page may show of a view."""
        return cls(view.lines, view.orders, view.kept, view.page_wait_s)


@dataclass(frozen=True, slots=True)
class PinAnswered:
    """Booth: the answer to a PIN."""

    asker: str
    answer: PinAnswer


@dataclass(frozen=True, slots=True)
class MetricsAnswered:
    """Booth: the metrics that a reader has asked for."""

    reader: str
    metrics: Metrics


@dataclass(frozen=True, slots=True)
class PinAsked:
    """Page: a PIN entered on it; `asker` is a random key for the answer."""

    asker: str
    pin: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class MetricsAsked:
    """Page: a monitoring server asks for the metrics; `reader` is a random key for the answer."""

    reader: str


@dataclass(frozen=True, slots=True)
class Alive:
    """Page: its process serves; `resident_mb` is its memory in megabytes."""

    resident_mb: float


FromBooth = Serve | Shown | PinAnswered | MetricsAnswered
FromPage = PinAsked | DeskIntent | MetricsAsked | Alive


def to_page(message: FromBooth) -> bytes:
    """Return a message of the booth as bytes."""
    return pickle.dumps(message)


def from_booth(received: bytes) -> FromBooth:
    """Return a message of the booth, which started this process and is trusted by it."""
    return cast("FromBooth", pickle.loads(received))


def to_booth(message: FromPage) -> bytes:
    """Return a message of the page as JSON."""
    return json.dumps(asdict(message)).encode()
