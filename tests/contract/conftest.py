"""Every camera backend: any, one whose button is pressed, one that fails on request."""

from __future__ import annotations

import resource
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import simplejpeg

from kiosk.devices.camera.timeouts import Timeouts
from kiosk.system.clock import SystemClock
from tests.ptpip.rig import other_stills
from tests.support.camera_rigs import (
    GENEROUS,
    SHORT,
    Rig,
    TetheredToResponder,
    attended,
    commanded,
    inline,
    lit,
    process,
    recording,
    responding,
    streamed,
    tethered,
)

RIGS: Mapping[str, Callable[[Path], Rig]] = {
    "simulated in its process": lambda _: process(GENEROUS),
    "simulated inline": lambda _: inline(),
    "simulated inline with its light": lambda _: lit(),
    "webcam driver on a recording": recording,
    "tethered driver on a Nikon responder": lambda folder: tethered(folder, "nikon", GENEROUS),
    "tethered driver on a Canon EOS responder": lambda folder: tethered(folder, "canon", GENEROUS),
    "folder driver with an attendant": attended,
    "folder driver with a command": commanded,
    "network driver on a JPEG stream of GStreamer": lambda _: streamed("jpeg"),
    "network driver on an H.264 stream of GStreamer": lambda _: streamed("h264"),
}
"""Every backend, made in an empty folder."""

REFUSING: Mapping[str, Callable[[Path, Timeouts], Rig]] = {
    "in its process": lambda _, limits: process(limits),
    "inline": lambda _, __: inline(),
    "Nikon": lambda folder, limits: tethered(folder, "nikon", limits),
    "Canon EOS": lambda folder, limits: tethered(folder, "canon", limits),
}
"""Every backend with a shutter that refuses on request, made in an empty folder with the watchdog's limits."""

FAULTY = {**REFUSING, "network camera": lambda _, limits: responding(limits)}
"""The same, of every backend that fails on request."""


@pytest.fixture(params=RIGS)
def rig(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Rig]:
    """Return any camera."""
    made = RIGS[request.param](tmp_path)
    yield made
    made.end()


@dataclass
class Pressed:
    """A camera that takes pictures which nobody has ordered."""

    rig: Rig
    press: Callable[[], None]
    stray: npt.NDArray[np.uint8]


@pytest.fixture(params=["Nikon with memory", "Nikon with card", "Canon EOS with card", "folder"])
def pressed(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Pressed]:
    """Return a camera whose button can be pressed, or whose folder is sent something."""
    stray = other_stills(tmp_path, 1)[0]
    made: Rig
    if request.param == "folder":
        made = folder = attended(tmp_path)
        press = partial(folder.send, stray)
    else:
        maker = request.param.split()[0].lower()
        card = ("--card",) if "card" in request.param else ()
        camera = TetheredToResponder(tmp_path, maker, GENEROUS, "--button", stray, *card)
        made, press = Rig(camera, SystemClock()), camera.press
    yield Pressed(made, press, simplejpeg.decode_jpeg(stray.read_bytes()))
    made.end()


@pytest.fixture(params=REFUSING)
def refusing_rig(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Rig]:
    """Return a camera whose shutter refuses on request."""
    made = REFUSING[request.param](tmp_path, GENEROUS)
    yield made
    made.end()


@pytest.fixture(params=FAULTY)
def faulty_rig(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Rig]:
    """Return a camera that fails on request."""
    made = FAULTY[request.param](tmp_path, GENEROUS)
    yield made
    made.end()


@pytest.fixture(params=FAULTY)
def watched_rig(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Rig]:
    """Return a camera that fails on request, and whose watchdog soon ends what hangs."""
    made = FAULTY[request.param](tmp_path, SHORT)
    yield made
    made.end()


@pytest.fixture
def full_disk() -> Callable[[int], AbstractContextManager[None]]:
    """Return a context in which no file grows past a size: the kernel fails the write, as on a full disk."""

    @contextmanager
    def limited(size_bytes: int) -> Iterator[None]:
        soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size_bytes, hard))
        try:
            yield
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))

    return limited
