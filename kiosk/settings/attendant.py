"""The attendant's PIN, powers and page."""

from __future__ import annotations

import ipaddress
from typing import Literal

from pydantic import Field, model_validator

from kiosk.core.judging.doubt import Decider
from kiosk.core.view.kept_sheet import MOST_MINUTES
from kiosk.settings.section import Section

_HASH = r"^(\$argon2id\$v=19\$m=\d+,t=\d+,p=\d+\$[A-Za-z0-9+/]+\$[A-Za-z0-9+/]+)?$"


class PageSettings(Section):
    """The attendant's page for a phone or the till: its address, host names, and PEM files of its certificate.

    Without a certificate the page is served on a loopback address only. `metrics_hash` is the SHA-256, in hexadecimal
    digits, of the token with which a monitoring server reads the booth's metrics there; without one nobody reads them.
    """

    address: str = "127.0.0.1"
    port: int = Field(default=8443, ge=1024, le=65535)
    names: list[str] = Field(default=[])
    certificate: str = ""
    key: str = ""
    metrics_hash: str = Field(default="", pattern=r"^([0-9a-f]{64})?$")

    @model_validator(mode="after")
    def _safe(self) -> PageSettings:
        try:
            address = ipaddress.ip_address(self.address)
        except ValueError as error:
            raise ValueError(f"{self.address!r} is no IP address") from error
        if bool(self.certificate) != bool(self.key):
            raise ValueError("certificate and key go together")
        if not (address.is_loopback or self.certificate):
            raise ValueError("other machines are served with a certificate and key only")
        return self


class AttendantSettings(Section):
    """What the attendant may do, and how they sign in.

    Attributes
    ----------
    pin_hash
        The PIN's hash, as `kiosk.system.pin_hash.hash_pin` makes it; without one nobody can open the desk.
    release
        `free` prints each sheet immediately, `attendant` holds it until the attendant releases it.
    doubt
        Who decides on a doubtful photo: `sitter` lets the sitter have it printed as not certain, `attendant` calls the
        attendant. By default the attendant decides if there is a PIN, and the sitter if there is none.
    idle_s
        Seconds without a touch after which the desk closes.
    few_sheets
        The number of sheets at which paper counts as low.
    reprint_minutes
        How long a sheet is kept in memory for a reprint, and one from a file noted by its number; 0 for not at all.
        `kiosk.core.view.kept_sheet` gives the reason for the maximum.
    page
        The page for a phone or the till; without it nothing listens on the network.
    """

    pin_hash: str = Field(default="", pattern=_HASH)
    release: Literal["free", "attendant"] = "free"
    doubt: Decider | None = None
    idle_s: float = Field(default=60.0, ge=10.0, le=600.0)
    few_sheets: int = Field(default=10, ge=0, le=1000)
    reprint_minutes: int = Field(default=0, ge=0, le=MOST_MINUTES)
    page: PageSettings | None = None

    @property
    def decides(self) -> Decider:
        """Who decides on a doubtful photo."""
        return self.doubt or ("attendant" if self.pin_hash else "sitter")

    @model_validator(mode="after")
    def _somebody_releases(self) -> AttendantSettings:
        if self.release == "attendant" and not self.pin_hash:
            raise ValueError("release by the attendant needs a pin_hash")
        if self.doubt == "attendant" and not self.pin_hash:
            raise ValueError("doubt left to the attendant needs a pin_hash")
        if self.reprint_minutes and not self.pin_hash:
            raise ValueError("reprint_minutes needs a pin_hash: only an attendant may reprint")
        if self.page is not None and not self.pin_hash:
            raise ValueError("the page needs a pin_hash")
        return self
