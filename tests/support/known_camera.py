"""A camera whose pictures are files of a folder, chosen while it runs, and processes that own it or print from it.

Each of them says `ready` where a test may look into it.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import DeviceSettings, PrintJob, StillTaken
from kiosk.devices.camera.driver import NotThere
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.printer.queue import PrintQueue
from kiosk.system.clock import SystemClock
from kiosk.system.memory import keep_to_itself


@dataclass
class KnownDriver:
    """Shows `live.jpg` and shoots `still.jpg`; it is not there once `gone` is."""

    folder: Path
    simulated: bool = False
    frame_interval_s: float = 0.03

    def warm_up(self) -> None:
        """Load nothing."""

    def open(self) -> str:
        """Be there, unless told not to be."""
        if (self.folder / "gone").exists():
            raise NotThere(detail="it was taken away")
        return "known"

    def next_frame(self) -> bytes:
        """Return the live picture of now."""
        return (self.folder / "live.jpg").read_bytes()

    def shoot(self) -> bytes:
        """Return the still."""
        return (self.folder / "still.jpg").read_bytes()

    def notices(self) -> list[str]:
        """Say nothing."""
        return []

    def settings(self) -> DeviceSettings:
        """Have none."""
        return DeviceSettings({}, {})

    def forget(self) -> None:
        """Have nothing to forget."""

    def ask(self, wish: str, argument: str) -> None:
        """Know no wish."""

    def close(self) -> None:
        """Need no end."""


def own_camera(folder: Path) -> None:
    """Look at a live picture, take a still, and go on polling as the frame loop does."""
    keep_to_itself()
    camera = SupervisedCamera(KnownDriver(folder))
    camera.start()
    while camera.newest() is None:
        camera.poll()
        time.sleep(0.005)
    camera.shoot(Ticket(1, "sitter"))
    while not any(isinstance(event, StillTaken) for event in camera.poll()):
        time.sleep(0.005)
    camera.newest()
    print("ready", camera.pid, flush=True)
    while True:
        camera.poll()
        time.sleep(0.01)


def own_printer(folder: Path) -> None:
    """Print a sheet, and wait."""
    keep_to_itself()
    queue = PrintQueue(FolderPrinter(folder / "prints", SystemClock()))
    queue.submit(PrintJob("a", (folder / "sheet.pdf").read_bytes(), "na_index-4x6_4x6in"))
    while not any(getattr(event, "state", "") == "done" for event in queue.poll()):
        time.sleep(0.01)
    print("ready", 0, flush=True)
    time.sleep(600)
