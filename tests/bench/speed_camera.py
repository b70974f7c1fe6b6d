"""What the tethered camera's way costs, against the bare work on the same bytes in the same run.

The other end is the responder of tests/ptpip, in a process of its own; libgphoto2 is the real one. The bare work is
simplejpeg's decoding, and for the still also the download through a socket and through libgphoto2 alone.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

import cv2
import numpy as np
import simplejpeg

from kiosk.devices.base import DeviceReady, StillTaken
from kiosk.devices.camera_process import CameraProcess
from kiosk.devices.driver import verified_still
from kiosk.devices.gphoto2.camera import TetheredDriver
from tests.bench.timing import median_s
from tests.ptpip.rig import ResponderProcess, sitter_pictures

TARGETS = {"live_frame_ratio": 1.5, "still_ratio": 1.3, "restart_s": 0.5}
FRAMES, STILLS, RESTARTS = 300, 12, 7
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
    """Compare a frame from the socket to the decoded array with the decoding alone, in turns.

    The time that the other end spends on answering is the camera's own, and is taken off.
    """
    driver.next_frame()
    camera_s = float(responder.tell("busy"))
    decode, whole = [], []
    for _ in range(FRAMES):
        decode.append(median_s(lambda: simplejpeg.decode_jpeg(bare), 1))
        whole.append(median_s(lambda: simplejpeg.decode_jpeg(driver.next_frame()), 1))
    camera_s = (float(responder.tell("busy")) - camera_s) / FRAMES
    bare_s, whole_s = statistics.median(decode), statistics.median(whole) - camera_s
    return {
        "live_camera_ms": 1e3 * camera_s,
        "live_decode_ms": 1e3 * bare_s,
        "live_frame_ms": 1e3 * whole_s,
        "live_frame_ratio": whole_s / bare_s,
    }


def stills(camera: CameraProcess, address: str, bare: bytes) -> dict[str, float]:
    """Compare a shot, from the order to the verified still in this process, with its bare download and decoding.

    The download is timed through libgphoto2 alone; the decoding in turns with the shots.
    """
    camera.close()
    driver = TetheredDriver(address)
    driver.open()
    downloads = []
    for _ in range(STILLS):
        driver.next_frame()
        driver.shoot()
        file = driver._shooting._left[-1]
        kind = driver._connection.library.GP_FILE_TYPE_NORMAL
        where = ("file_get", file.folder, file.name, kind)
        downloads.append(median_s(lambda where=where: driver._connection.copied(*where), 1))
    driver.close()
    camera.start()
    until(camera, DeviceReady)
    decodings, shots = [], []
    for _ in range(STILLS):
        decodings.append(median_s(lambda: verified_still(bare), 1))
        shots.append(median_s(lambda: (camera.shoot(), until(camera, StillTaken)), 1))
    bare_s = statistics.median(downloads) + statistics.median(decodings)
    return {
        "still_megabytes": len(bare) / 1e6,
        "still_download_decode_ms": 1e3 * bare_s,
        "still_ms": 1e3 * statistics.median(shots),
        "still_ratio": statistics.median(shots) / bare_s,
    }


def restarts(camera: CameraProcess) -> dict[str, float]:
    """Kill the child and wait for the next live frame."""
    spans = []
    for _ in range(RESTARTS):
        camera.close()
        began_s = time.perf_counter()
        camera.start()
        until(camera, DeviceReady)
        spans.append(time.perf_counter() - began_s)
    return {"restart_s": statistics.median(spans)}


def until(camera: CameraProcess, kind: type) -> None:
    """Poll, as the frame loop does but more often, until an event comes."""
    while not any(isinstance(event, kind) for event in camera.poll()):
        time.sleep(0.0005)


def measure() -> dict[str, float]:
    """Return the numbers by name."""
    with tempfile.TemporaryDirectory() as folder:
        live, still = pictures(Path(folder))
        with ResponderProcess(live, still) as responder:
            driver = TetheredDriver(responder.address)
            driver.open()
            numbers = live_frames(driver, responder, live.read_bytes())
            driver.close()
            camera = CameraProcess(TetheredDriver(responder.address))
            camera.start()
            until(camera, DeviceReady)
            numbers |= stills(camera, responder.address, still.read_bytes()) | restarts(camera)
            camera.close()
    return numbers
