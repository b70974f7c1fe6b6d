"""GPIO chips for the contract of lines: the simulated one, and the kernel's own `gpio-sim` where the machine has it."""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import gpiod

from kiosk.devices.gpio.line import RequestLines
from kiosk.devices.gpio.simulated import SIMULATED, SimulatedChip

LINES = 8
LAMP = 3
"""The offset of the line that has the name `LAMP`."""

GPIO_SIM = Path("/sys/kernel/config/gpio-sim")
"""Where gpio-sim chips are made (kernel documentation, admin-guide/gpio/gpio-sim.rst)."""


class ChipRig(Protocol):
    """A chip whose wires can be looked at from outside, and which can be pulled."""

    path: str
    request: RequestLines

    def is_high(self, offset: int) -> bool: ...

    def is_held(self, offset: int) -> bool: ...

    def pull(self) -> None: ...


class SimulatedRig:
    """The simulated chip, looked at from inside."""

    path = SIMULATED

    def __init__(self) -> None:
        self._chip = SimulatedChip(tuple("LAMP" if offset == LAMP else "" for offset in range(LINES)))
        self.request: RequestLines = self._chip.request_lines

    def is_high(self, offset: int) -> bool:
        return offset in self._chip.high

    def is_held(self, offset: int) -> bool:
        return offset in self._chip.held

    def pull(self) -> None:
        self._chip.failing = errno.ENODEV


@dataclass
class KernelRig:
    """A chip of gpio-sim, looked at through sysfs."""

    device: Path
    platform: Path
    path: str
    request: RequestLines = gpiod.request_lines

    def is_high(self, offset: int) -> bool:
        return (self.platform / Path(self.path).name / f"sim_gpio{offset}" / "value").read_text().strip() == "1"

    def is_held(self, offset: int) -> bool:
        with gpiod.Chip(self.path) as chip:
            return chip.get_line_info(offset).used

    def pull(self) -> None:
        (self.device / "live").write_text("0")


def why_no_kernel_chip() -> str:
    """Return why no chip of gpio-sim can be made here; nothing where one can."""
    if not GPIO_SIM.is_dir():
        return "this kernel has no gpio-sim: modprobe gpio-sim, with configfs mounted"
    return "" if os.access(GPIO_SIM, os.W_OK) else "only root can make a chip of gpio-sim"


@contextlib.contextmanager
def kernel_chip() -> Iterator[KernelRig]:
    """Make a chip of gpio-sim, and remove it at the end."""
    device = GPIO_SIM / f"holdstill-{os.getpid()}"
    bank = device / "bank0"
    line = bank / f"line{LAMP}"
    line.mkdir(parents=True)
    try:
        (bank / "num_lines").write_text(str(LINES))
        (line / "name").write_text("LAMP")
        (device / "live").write_text("1")
        platform = Path("/sys/devices/platform") / (device / "dev_name").read_text().strip()
        yield KernelRig(device, platform, f"/dev/{(bank / 'chip_name').read_text().strip()}")
    finally:
        with contextlib.suppress(OSError):
            (device / "live").write_text("0")
        for folder in (line, bank, device):
            folder.rmdir()
