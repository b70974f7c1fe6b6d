"""How a booth is paid before it prints."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from kiosk.core.view.payment import PaymentWay
from kiosk.settings.section import Section
from kiosk.system.local_address import fault_of_address, is_this_machine

SimulatedAnswer = Literal["approved", "declined", "silent", "late", "lost", "other", "fault"]
"""How a simulated unit behaves when it is asked: it says yes or no; it says nothing; it says yes after it was to end;
it takes the money and the answer is lost; it answers for another payment; it refuses to work."""


class NoPayment(Section):
    """The booth takes no money: prices are only shown."""

    backend: Literal["none"] = "none"


class SimulatedPaymentSettings(Section):
    """A simulated unit, for a demonstration: no money moves.

    `answers` is how it behaves, request by request; afterwards it approves.
    """

    backend: Literal["sim"]
    way: PaymentWay = "terminal"
    answers: list[SimulatedAnswer] = Field(default=[])


class PulsePaymentSettings(Section):
    """A coin, note or token validator that gives pulses, on a serial port or an input of a GPIO chip.

    Attributes
    ----------
    value
        What one pulse is worth, in the currency's smallest unit.
    port, baud, signal, byte
        A serial port, and where its pulses come: as bytes (`data`), of which one may be named, or on one of its inputs.
    chip, line, active_low, enable_line
        A GPIO chip and its input; whether a pulse pulls it to ground; and the output that opens the validator.
    """

    backend: Literal["pulses"]
    value: int = Field(ge=1, le=1_000_000)
    port: str = ""
    baud: int = Field(default=9600, ge=50, le=4_000_000)
    signal: Literal["data", "cts", "dsr", "ri", "cd"] = "data"
    byte: int | None = Field(default=None, ge=0, le=255)
    chip: str = ""
    line: int | None = Field(default=None, ge=0)
    active_low: bool = True
    enable_line: int | None = Field(default=None, ge=0)

    @model_validator(mode="after")
    def _has_one_line(self) -> Self:
        if bool(self.port) == bool(self.chip) or (bool(self.chip) != (self.line is not None)):
            raise ValueError("name either a serial port, or a GPIO chip and its line")
        if self.line is not None and self.line == self.enable_line:
            raise ValueError("the input and the output that opens the validator are two lines")
        return self


class TerminalPaymentSettings(Section):
    """A card terminal on the local network that speaks the protocol of `hardware/payment.md`.

    Attributes
    ----------
    address
        `https` or `http`, the terminal's IP address, and perhaps a port and a path.
    certificate
        A file with the certificate that the terminal must show; without one it must be one that the machine trusts.
    token_file
        A file with the secret that the booth proves itself with, which needs https beyond this machine.
    """

    backend: Literal["terminal"]
    address: str
    certificate: str = ""
    token_file: str = ""

    @model_validator(mode="after")
    def _is_local(self) -> Self:
        if fault := fault_of_address(self.address):
            raise ValueError(fault)
        if self.token_file and self.address.startswith("http:") and not is_this_machine(self.address):
            raise ValueError("a token can be read by everybody on the network: give an address with https://")
        return self


AnyPayment = NoPayment | SimulatedPaymentSettings | PulsePaymentSettings | TerminalPaymentSettings
