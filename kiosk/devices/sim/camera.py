"""The simulated camera: looks at the simulated sitter, in a process of its own like any other camera."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Literal, get_args

from kiosk.core.base.geometry import Size
from kiosk.devices.base import CameraEvent, DeviceReady, DeviceSettings
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.sim.pictures import LIVE_PX, STILL_PX, GridPicture, load_pictures
from kiosk.devices.sim.scenario import Scenario
from kiosk.devices.sim.sitter import Sitter
from kiosk.errors import CameraFault
from kiosk.system.clock import Clock, SystemClock

SimulatedFault = Literal["shoot", "truncate", "stall", "freeze", "unplug"]

FREEZE_S = 30.0
UNLIT = 0.35
"""How bright its picture is with the lamps off, as a share of the value of each pixel (this project's own choice)."""
_LIVE_QUALITY = 85
_STILL_QUALITY = 95


class SimulatedDriver:
    """A portrait camera before a sitter: live frames of 640 x 800 px, stills of 1600 x 2000 px.

    Parameters
    ----------
    pictures
        Folder of the sitter's pictures.
    scenario
        Who comes, and how they behave; each `open` begins it again.
    clock
        The sitter's time.
    """

    simulated = True
    frame_interval_s = 1 / 30

    def __init__(self, pictures: Path, scenario: Scenario, clock: Clock | None = None) -> None:
        self._folder = pictures
        self._scenario = scenario
        self._clock = clock or SystemClock()
        self._pictures: tuple[GridPicture, ...] = ()
        self._sitter: Sitter | None = None
        self._faults: list[str] = []
        self._is_lit = True

    def warm_up(self) -> None:
        """Import the modules that draw."""
        import simplejpeg  # noqa: F401

        from kiosk.devices.sim import frame  # noqa: F401

    def open(self) -> str:
        """Bring the sitter to the door."""
        self._pictures = load_pictures(self._folder)
        self._sitter = Sitter(self._scenario, self._clock.now_s())
        return "Simulated camera"

    def next_frame(self) -> bytes:
        """Return what the camera sees now."""
        if self._is_due("unplug"):
            raise CameraFault(detail="the connection broke; its cable may be loose")
        if self._is_due("freeze"):
            self._clock.sleep(FREEZE_S)
        return self._look(LIVE_PX, _LIVE_QUALITY)

    def shoot(self) -> bytes:
        """Return a still."""
        if self._is_due("shoot"):
            raise CameraFault(detail="it could not focus on the sitter")
        if self._is_due("stall"):
            self._clock.sleep(FREEZE_S)
        self._visitor.face_shot(self._clock.now_s())
        jpeg = self._look(STILL_PX, _STILL_QUALITY)
        return jpeg[: len(jpeg) // 2] if self._is_due("truncate") else jpeg

    def forget(self) -> None:
        """Do nothing, because every picture is drawn when it is asked for."""

    def notices(self) -> list[str]:
        """Return no notices."""
        return []

    def settings(self) -> DeviceSettings:
        """Return no settings; a simulated camera has none."""
        return DeviceSettings({}, {})

    def ask(self, wish: str, argument: str) -> None:
        """Let the sitter `hear` an instruction, the `lamps` be `on` or `off`, or a thing fail next (`fail_next`)."""
        if wish == "hear":
            self._visitor.hear(argument, self._clock.now_s())
        elif wish == "lamps":
            self._is_lit = argument == "on"
        elif wish == "fail_next" and argument in get_args(SimulatedFault):
            self._faults.append(argument)

    def close(self) -> None:
        """Send the sitter home."""
        self._sitter = None

    @property
    def _visitor(self) -> Sitter:
        if self._sitter is None:
            raise CameraFault(detail="it is not open")
        return self._sitter

    def _is_due(self, fault: SimulatedFault) -> bool:
        if fault not in self._faults:
            return False
        self._faults.remove(fault)
        return True

    def _look(self, frame_px: Size, quality: int) -> bytes:
        import simplejpeg

        from kiosk.devices.sim.frame import draw

        frame = draw(self._pictures, self._visitor.at(self._clock.now_s()), frame_px)
        if not self._is_lit:
            frame = (frame * UNLIT).astype(frame.dtype)
        jpeg: bytes = simplejpeg.encode_jpeg(frame, quality=quality, colorspace="BGR", colorsubsampling="422")
        return jpeg


class SimulatedCamera(SupervisedCamera):
    """The simulated camera in its own process, and the sitter's ear.

    Attributes
    ----------
    lamps_are_on
        Returns whether the light is on in which the sitter sits.
    """

    _heard = ""
    _lit = True

    lamps_are_on: Callable[[], bool] = staticmethod(lambda: True)

    def poll(self) -> list[CameraEvent]:
        """Poll; a sitter who comes when the camera is opened again hears what the screen says, and has its light."""
        events = super().poll()
        is_new = any(isinstance(event, DeviceReady) for event in events)
        if is_new:
            self.ask("hear", self._heard)
        if is_new or self.lamps_are_on() is not self._lit:
            self._lit = self.lamps_are_on()
            self.ask("lamps", "on" if self._lit else "off")
        return events

    def hear(self, instruction: str) -> None:
        """Let the sitter hear what the screen now says."""
        if instruction != self._heard:
            self._heard = instruction
            self.ask("hear", instruction)

    def fail_next(self, fault: SimulatedFault) -> None:
        """Let something go wrong at its next turn."""
        self.ask("fail_next", fault)
