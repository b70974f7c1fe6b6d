"""Every camera backend in a rig: with the clock that its waiting uses, and whoever releases it."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import ClassVar, TypeVar

import cv2

from kiosk.devices.base import Camera, CameraEvent, StillTaken
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.folder.camera import FolderDriver
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gpio.line import LineAddress, OutputLine
from kiosk.devices.gpio.simulated import SIMULATED, SimulatedChip
from kiosk.devices.light.lit_camera import Light, LitCamera
from kiosk.devices.light.switches import Pulse, Switches
from kiosk.devices.rtsp.camera import NetworkCameraDriver
from kiosk.devices.sim.camera import SimulatedCamera, SimulatedDriver
from kiosk.devices.sim.frame import draw
from kiosk.devices.sim.pictures import LIVE_PX, load_pictures
from kiosk.devices.sim.scenario import Pose, Scenario
from kiosk.devices.uvc.camera import WebcamDriver
from kiosk.system.clock import Clock, SystemClock
from tests.ptpip.rig import ResponderProcess, sitter_pictures
from tests.rtsp.responder import Responder
from tests.rtsp.rig import RealServer
from tests.support.inline_camera import InlineCamera
from tests.support.manual_clock import ManualClock

SITTER = Path(__file__).parents[2] / "demo" / "sitter"
SEATED = Scenario(arrives_s=0.0)
PATIENCE_S = 60.0
GENEROUS = Timeouts(start_s=120.0, frame_age_s=30.0, resume_s=60.0, shot_s=120.0)
"""What a camera promises, it promises on a slow machine too, which must not look like a broken camera."""
SHORT = Timeouts(resume_s=2.0, shot_s=3.0)
"""For those tests alone in which the watchdog has to end something."""
Event = TypeVar("Event", bound=CameraEvent)


@dataclass
class Rig:
    """A camera and the clock that its waiting uses."""

    camera: Camera
    clock: Clock
    passed_over: list[CameraEvent] = field(default_factory=list)
    unread: list[CameraEvent] = field(default_factory=list)

    def take_time(self) -> None:
        """Let the watchdog be as patient from now on as with the other cameras."""
        if isinstance(self.camera, SupervisedCamera):
            self.camera._limits = self.camera._silence._limits = GENEROUS

    def end(self) -> None:
        """Close the camera, and the other end of a responder's."""
        self.camera.close()
        if isinstance(self.camera, TetheredToResponder | NetworkCamera):
            self.camera.end()

    def until(self, kind: type[Event]) -> Event:
        """Poll until an event of a kind comes; those before it are passed over, those after it stay unread."""

        def came() -> bool:
            self.unread += self.camera.poll()
            while self.unread and not isinstance(self.unread[0], kind):
                self.passed_over.append(self.unread.pop(0))
            return bool(self.unread)

        self.wait_for(came)
        event = self.unread.pop(0)
        assert isinstance(event, kind)
        return event

    def wait_for(self, condition: Callable[[], object]) -> None:
        """Wait until a condition holds; generous, because it only ends a test that has failed."""
        end_s = time.monotonic() + PATIENCE_S
        while not condition():
            assert time.monotonic() < end_s, f"waited in vain; passed over: {self.passed_over}"
            self.clock.sleep(0.005)


def process(limits: Timeouts) -> Rig:
    """Return the simulated camera in a process of its own."""
    return Rig(SimulatedCamera(SimulatedDriver(SITTER, SEATED), limits), SystemClock())


def inline() -> Rig:
    """Return the simulated camera in the test's own process and time."""
    clock = ManualClock()
    return Rig(InlineCamera(SimulatedDriver(SITTER, SEATED, clock), clock), clock)


def lit() -> Rig:
    """Return the same camera, in the light of lamps and of a flash on a simulated chip."""
    clock = ManualClock()
    camera = InlineCamera(SimulatedDriver(SITTER, SEATED, clock), clock)
    return Rig(LitCamera(camera, switches(SimulatedChip()), Light(1.0, 60.0, 2.0), clock), clock)


def switches(chip: SimulatedChip) -> Switches:
    """Return the switches of lamps on line 0 and a flash on line 1."""
    lamps, flash = (OutputLine(LineAddress(SIMULATED, offset), chip.request_lines) for offset in range(2))
    return Switches(lamps, flash, Pulse(0.0, 0.02))


def recording(folder: Path) -> Rig:
    """Return the driver of a webcam on a recording of ten frames."""
    path = folder / "recording.avi"
    writer = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"MJPG"), 30, (int(LIVE_PX.width), int(LIVE_PX.height)))
    pictures = load_pictures(SITTER)
    for step in range(10):
        writer.write(draw(pictures, Pose(x=step / 100), LIVE_PX))
    writer.release()
    return Rig(SupervisedCamera(WebcamDriver(str(path)), GENEROUS), SystemClock())


class TetheredToResponder(SupervisedCamera):
    """A tethered camera whose other end can be told to fail."""

    FAULTS: ClassVar[dict[str, str]] = {
        "shoot": "focus",
        "truncate": "truncate",
        "unplug": "drop_preview",
        "freeze": "stall_preview",
        "stall": "no_object",
    }

    def __init__(self, folder: Path, maker: str, limits: Timeouts, *options: str | Path) -> None:
        self._responder = ResponderProcess(*sitter_pictures(folder), "--maker", maker, "--clock-s", "0", *options)
        super().__init__(TetheredDriver(self._responder.address), limits)

    def fail_next(self, fault: str) -> None:
        """Let something go wrong at its next turn."""
        self._responder.fault(self.FAULTS[fault])

    def press(self) -> None:
        """Press the body's own button."""
        self._responder.tell("press")

    def end(self) -> None:
        """End the other side."""
        self._responder.close()


class NetworkCamera(SupervisedCamera):
    """A network camera on this machine, which a responder can make fail."""

    def __init__(self, other_side: Responder | RealServer, address: str, limits: Timeouts) -> None:
        self._other_side = other_side
        super().__init__(NetworkCameraDriver(address, latency_s=0.0, simulated=True), limits)

    def fail_next(self, fault: str) -> None:
        """Let something go wrong from now on; it ends with the connection, but for damage."""
        assert isinstance(self._other_side, Responder)
        match fault:
            case "truncate":
                self._other_side.habits.cuts = True
                self._other_side.wait_for_pictures(2)
            case "unplug":
                self._other_side.drop()
            case "freeze" | "stall":
                self._other_side.freeze()

    def end(self) -> None:
        """End the other side."""
        self._other_side.close()


@dataclass
class AttendedRig(Rig):
    """A camera that somebody must release: an attendant does, once for each order, as soon as the camera waits."""

    still: Path = field(kw_only=True)
    inbox: Path = field(kw_only=True)
    released: int = 0
    waiting: bool = False

    def until(self, kind: type[Event]) -> Event:
        """Poll; after a still the camera waits for the next one, where another was ordered."""
        event = super().until(kind)
        self.waiting = self.waiting and not isinstance(event, StillTaken)
        return event

    def send(self, picture: Path) -> None:
        """Send a picture that nobody has ordered, and wait until it was taken in."""
        arrived = shutil.copy(picture, self.inbox / "stray.jpg")
        super().wait_for(lambda: self.camera.poll() or not Path(arrived).exists())

    def wait_for(self, condition: Callable[[], object]) -> None:
        """Wait, and release the camera when it is waited for."""

        def came() -> object:
            waited, self.waiting = self.waiting, self.camera.state == "busy"
            if self.waiting and not waited:
                self.released += 1
                shutil.copy(self.still, self.inbox / f"{self.released:04}.jpg")
            return condition()

        super().wait_for(came)


def attended(folder: Path) -> AttendedRig:
    """Return a camera on a folder into which an attendant copies what was shot."""
    inbox = folder / "in"
    inbox.mkdir()
    _, still = sitter_pictures(folder)
    camera = SupervisedCamera(FolderDriver(inbox, simulated=True), GENEROUS)
    return AttendedRig(camera, SystemClock(), still=still, inbox=inbox)


def commanded(folder: Path) -> Rig:
    """Return a camera that a command releases, which copies what was shot into its folder."""
    inbox = folder / "in"
    inbox.mkdir()
    _, still = sitter_pictures(folder)
    driver = FolderDriver(inbox, command=("cp", str(still), "taken.jpg"), simulated=True)
    return Rig(SupervisedCamera(driver, GENEROUS), SystemClock())


def tethered(folder: Path, maker: str, limits: Timeouts) -> Rig:
    """Return the tethered driver on a responder that speaks as a maker's cameras do."""
    return Rig(TetheredToResponder(folder, maker, limits), SystemClock())


def responding(limits: Timeouts) -> Rig:
    """Return the driver of network cameras on a responder."""
    responder = Responder()
    return Rig(NetworkCamera(responder, responder.address, limits), SystemClock())


def streamed(stream: str) -> Rig:
    """Return the driver of network cameras on GStreamer's server."""
    server = RealServer()
    return Rig(NetworkCamera(server, server.address(stream), GENEROUS), SystemClock())
