"""What the tethered camera's way costs, against the bare work on the same bytes in the same run.

The other end is the responder of tests/ptpip, in a process of its own; libgphoto2 is the real one. The bare work is
simplejpeg's decoding, and for the still also the download through a socket and through libgphoto2 alone.
"""

from __future__ import annotations

import os
import signal
import statistics
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import cv2
import numpy as np
import simplejpeg

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import DeviceFailed, DeviceReady, StillTaken
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.gphoto2.camera import TetheredDriver
from tests.bench.timing import in_turns_s, median_s
from tests.ptpip.bare import BareClient
from tests.ptpip.nikon import LIVE_HEADER
from tests.ptpip.rig import ResponderProcess, sitter_pictures

TARGETS = {
    "live_frame_ratio": 1.5,
    "live_frame_over_decode_ratio": 1.5,
    "still_ratio": 1.3,
    "restart_s": 0.5,
    "recovery_dropped_worst_s": 3.0,
    "recovery_silent_worst_s": 3.0,
    "recovery_off_on_worst_s": 3.0,
}
FRAMES, STILLS, RESTARTS, RECOVERIES = 300, 12, 7, 6
SPARE_LOOK_S = 0.5
AWAY_S = (0.7, 2.1, 3.5, 5.2, 6.6, 7.9)
STILL_PX = (6000, 4000)
LIVE_PX = (960, 640)


def pictures(folder: Path) -> tuple[Path, Path]:
    """Write a live frame and a 24 megapixel still of a sitter, with the noise of a sensor, as real ones have it."""
    live, still = sitter_pictures(folder)
    sitter = cv2.imread(str(still))
    noise = np.random.default_rng(0)
    for path, size_px, quality in ((live, LIVE_PX, 85), (still, STILL_PX, 92)):
        way = cv2.INTER_AREA if size_px[0] < sitter.shape[1] else cv2.INTER_CUBIC
        picture = cv2.resize(sitter, size_px, interpolation=way).astype(np.int16)
        picture += noise.integers(-4, 5, picture.shape, dtype=np.int16)
        pixels = picture.clip(0, 255).astype(np.uint8)
        path.write_bytes(simplejpeg.encode_jpeg(pixels, quality=quality, colorspace="BGR"))
    return live, still


def live_frames(driver: TetheredDriver, responder: ResponderProcess, bare: bytes) -> dict[str, float]:
    """Compare a frame from the socket to the decoded array, in turns, with the least that gives the same array.

    That least is one operation on a plain socket to the same process, and simplejpeg's decoding; the decoding alone is
    told beside it.
    """
    driver.next_frame()
    with BareClient(responder.port) as client:
        found = in_turns_s(
            {
                "decode": lambda: simplejpeg.decode_jpeg(bare),
                "read": lambda: simplejpeg.decode_jpeg(client.frame(len(LIVE_HEADER))),
                "whole": lambda: simplejpeg.decode_jpeg(driver.next_frame()),
            },
            FRAMES,
        )
    return {
        "live_decode_ms": 1e3 * found["decode"],
        "live_read_decode_ms": 1e3 * found["read"],
        "live_frame_ms": 1e3 * found["whole"],
        "live_frame_ratio": found["whole"] / found["read"],
        "live_frame_over_decode_ratio": found["whole"] / found["decode"],
    }


def stills(camera: SupervisedCamera, bare: BareStills) -> dict[str, float]:
    """Compare a shot, from the order to the verified still in this process, with its bare download and decoding.

    The bare download is libgphoto2's alone, from a responder of its own, and takes turns with the shots.
    """
    camera.shoot(Ticket(1))
    until(camera, StillTaken)
    downloads, decodings, shots = [], [], []
    for _ in range(STILLS):
        where = bare.shot()
        downloads.append(median_s(lambda where=where: bare.driver._connection.copied(*where), 1))
        decodings.append(median_s(lambda: simplejpeg.decode_jpeg(bare.still), 1))
        shots.append(median_s(lambda: (camera.shoot(Ticket(1)), until(camera, StillTaken)), 1))
    bare_s = statistics.median(downloads) + statistics.median(decodings)
    return {
        "still_megabytes": len(bare.still) / 1e6,
        "still_download_decode_ms": 1e3 * bare_s,
        "still_ms": 1e3 * statistics.median(shots),
        "still_ratio": statistics.median(shots) / bare_s,
    }


@dataclass
class BareStills:
    """A camera with a still on it, to be downloaded by libgphoto2 alone."""

    driver: TetheredDriver
    still: bytes

    def shot(self) -> tuple[object, ...]:
        """Take a still, and return the call that downloads it."""
        self.driver.next_frame()
        self.driver.shoot()
        file = self.driver._shooting._left[-1]
        return "file_get", file.folder, file.name, self.driver._connection.library.GP_FILE_TYPE_NORMAL


def starts(camera: SupervisedCamera) -> dict[str, float]:
    """Start the child and wait for the first live frame; nothing is loaded yet."""
    spans = []
    for _ in range(RESTARTS):
        camera.close()
        began_s = time.perf_counter()
        camera.start()
        until(camera, DeviceReady)
        spans.append(time.perf_counter() - began_s)
    return {"start_s": statistics.median(spans)}


def restarts(camera: SupervisedCamera) -> dict[str, float]:
    """Kill the child and wait for the next live frame; tell also what the spare takes of processor and memory."""
    spans, busy, spare_mb = [], [], []
    for _ in range(RESTARTS):
        spare = with_spare(camera)
        spare_mb.append(proportional_mb(spare))
        before_s = processor_s(spare)
        began_s = time.perf_counter()
        os.kill(camera.pid or 0, signal.SIGKILL)
        until(camera, DeviceReady)
        spans.append(time.perf_counter() - began_s)
        busy.append(processor_s(spare) - before_s)
    return {
        "restart_s": statistics.median(spans),
        "restart_worst_s": max(spans),
        "restart_processor_s": statistics.median(busy),
        "spare_mb": statistics.median(spare_mb),
    }


def with_spare(camera: SupervisedCamera) -> int:
    """Start the camera anew, wait until its spare has loaded all it loads, and return the spare's process id."""
    camera.close()
    camera.start()
    used_s = -1.0
    while not camera.spare_pid or used_s < (used_s := processor_s(camera.spare_pid)):
        end_s = time.perf_counter() + SPARE_LOOK_S
        while time.perf_counter() < end_s:
            camera.poll()
            time.sleep(0.01)
    return camera.spare_pid


def processor_s(pid: int) -> float:
    """Return the processor time that a process has taken (proc(5), stat)."""
    ticks = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[11:13]
    return sum(map(int, ticks)) / os.sysconf("SC_CLK_TCK")


def proportional_mb(pid: int) -> float:
    """Return the memory of a process, with its share of what others use too (proc(5), smaps_rollup, Pss)."""
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1e3


def recoveries(camera: SupervisedCamera, responder: ResponderProcess) -> dict[str, float]:
    """Lose the camera in each way, several times; return the times from its return, or its fault, to the live view.

    A pulled cable is put in again at once, and a body that fell silent answers whoever connects anew: from the fault on
    they could be had. A body that is switched off is away for a while, and its time counts from when it is on.
    """

    def switched_off(away_s: float) -> None:
        responder.tell("off")
        until(camera, DeviceFailed)
        back_s = time.perf_counter() + away_s
        while time.perf_counter() < back_s:
            camera.poll()
            time.sleep(0.001)
        responder.tell("on")

    ways: dict[str, list[Callable[[], object]]] = {
        "dropped": [partial(responder.fault, "drop_preview")] * RECOVERIES,
        "silent": [partial(responder.fault, "stall_preview")] * RECOVERIES,
        "off_on": [partial(switched_off, away_s) for away_s in AWAY_S],
    }
    found = {}
    for name, faults in ways.items():
        spans = []
        for fault in faults:
            with_spare(camera)
            fault()
            began_s = time.perf_counter()
            until(camera, DeviceReady)
            spans.append(time.perf_counter() - began_s)
        found[f"recovery_{name}_s"] = statistics.median(spans)
        found[f"recovery_{name}_worst_s"] = max(spans)
    return found


def until(camera: SupervisedCamera, kind: type) -> None:
    """Poll, as the frame loop does but more often, until an event comes."""
    while not any(isinstance(event, kind) for event in camera.poll()):
        time.sleep(0.0005)


def measure() -> dict[str, float]:
    """Return the numbers by name."""
    with tempfile.TemporaryDirectory() as folder:
        live, still = pictures(Path(folder))
        with ResponderProcess(live, still) as responder, ResponderProcess(live, still) as other:
            driver = TetheredDriver(other.address)
            driver.open()
            numbers = live_frames(driver, other, live.read_bytes())
            camera = SupervisedCamera(TetheredDriver(responder.address))
            camera.start()
            until(camera, DeviceReady)
            numbers |= stills(camera, BareStills(driver, still.read_bytes()))
            driver.close()
            numbers |= starts(camera)
            numbers |= restarts(camera)
            numbers |= recoveries(camera, responder)
            camera.close()
    return numbers
