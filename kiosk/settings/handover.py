"""How the photo is handed over as a file; by default it is not."""

from __future__ import annotations

import ipaddress

from pydantic import Field, model_validator

from kiosk.settings.section import Section
from kiosk.system.local_address import fault_of_address


class HandoverSettings(Section):
    """The way of the file to a phone in the shop's network, to a USB stick, or both.

    Attributes
    ----------
    address, port
        An address of this machine in a private network, and the port on which phones find their file; without an
        address, none does.
    name
        The host name of the certificate, which the link then has instead of the address.
    certificate, key
        PEM files; without them the file goes over HTTP.
    wifi
        The name of the network that a phone has to be in, for the sitter.
    sticks
        Which mount points are those of USB sticks, such as `/media/*`; without a pattern no stick is written.
    minutes
        How long a file is kept once its sitter has chosen a way.
    """

    address: str = ""
    port: int = Field(default=8444, ge=1024, le=65535)
    name: str = Field(default="", max_length=253, pattern=r"^(?:[A-Za-z0-9][A-Za-z0-9.-]*)?$")
    certificate: str = ""
    key: str = ""
    wifi: str = Field(default="", max_length=32)
    sticks: str = Field(default="", pattern=r"^(?:/.+)?$")
    minutes: int = Field(default=5, ge=1, le=15)

    @model_validator(mode="after")
    def _sound(self) -> HandoverSettings:
        if not (self.address or self.sticks):
            raise ValueError("name an address for phones, a pattern of mount points for sticks, or both")
        if bool(self.certificate) != bool(self.key):
            raise ValueError("certificate and key go together")
        if self.name and not self.certificate:
            raise ValueError("a name is for a certificate; without one the link has the address")
        if self.address:
            try:
                version = ipaddress.ip_address(self.address).version
            except ValueError as error:
                raise ValueError(f"{self.address!r} is no IP address") from error
            fault = fault_of_address(f"http://[{self.address}]" if version == 6 else f"http://{self.address}")
            if fault:
                raise ValueError(f"{fault}; whoever is not in the shop must not reach it")
        return self
