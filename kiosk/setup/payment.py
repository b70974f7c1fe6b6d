"""The question how sheets are paid for, with what the unit needs."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from kiosk.setup.ask import InvalidAnswer, Terminal
from kiosk.system.local_address import fault_of_address

Section = dict[str, Any]
PAYMENTS = {
    "none": "not here: prices are only shown",
    "pulses": "in coins or notes, with a validator that gives pulses",
    "terminal": "by card, at a terminal on the local network",
}


def payment(ask: Terminal, now: Section, folder: Path) -> Section:
    """Ask whether the booth takes money before it prints, and how."""
    ask.heading("The payment")
    simulated = {"sim": "by a simulated unit, for a demonstration"} if now["backend"] == "sim" else {}
    backend = ask.choice("How does a sitter pay for a sheet?", {**PAYMENTS, **simulated}, now["backend"])
    same = now if now["backend"] == backend else {}
    if backend == "pulses":
        return {"backend": backend, **_pulses(ask, same)}
    if backend == "terminal":
        return {"backend": backend, **_terminal(ask, same, folder)}
    return now if backend == "sim" else {"backend": backend}


def _pulses(ask: Terminal, now: Section) -> Section:
    worth = "What one pulse is worth, in the smallest unit of the currency, such as 50 for 0.50"
    value = ask.value(worth, _value, str(now.get("value", 50)))
    before = f"{now['chip']} {now['line']}" if now.get("chip") else now.get("port", "/dev/ttyUSB0")
    where = "Its serial port, or a GPIO chip and the number of its line, such as /dev/gpiochip0 17"
    return {"value": value, **ask.value(where, _line, before)}


def _terminal(ask: Terminal, now: Section, folder: Path) -> Section:
    address = ask.value("Its address, such as https://192.168.1.20:8443", _address, now.get("address", "?"))
    certificate = "The file with its certificate; - where the machine trusts it already"
    token = "The file with the secret that it asks for; - for none"
    return {
        "address": address,
        "certificate": ask.value(certificate, _file(folder), now.get("certificate") or "-"),
        "token_file": ask.value(token, _file(folder), now.get("token_file") or "-"),
    }


def _value(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 1_000_000:
        raise InvalidAnswer("give a whole number from 1 to 1000000")
    return int(text)


def _line(text: str) -> Section:
    chip = re.fullmatch(r"(\S+)\s+(\d{1,4})", text)
    if chip is not None:
        return {"chip": chip[1], "line": int(chip[2]), "port": None}
    if not re.fullmatch(r"/\S+", text):
        raise InvalidAnswer("give a device file, such as /dev/ttyUSB0, or a chip and its line")
    return {"port": text, "chip": None, "line": None, "enable_line": None}


def _address(text: str) -> str:
    if fault := fault_of_address(text):
        raise InvalidAnswer(fault)
    return text


def _file(folder: Path) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text != "-" and not (folder / text).is_file():
            raise InvalidAnswer(f"{folder / text} is not a file")
        return "" if text == "-" else text

    return read
