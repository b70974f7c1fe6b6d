"""What a still's verdict costs: a JPEG of 24 megapixels, decoded, measured and judged.

The bare work is what no verdict can do without: one strict decoding and, on the picture reduced to the size that the
models see, one face detection, eight landmark passes and one segmentation. Memory is that of processes of their
own, of which one looks at such stills, the other at many small ones.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import simplejpeg

from kiosk.catalogue.documents import Catalogue
from kiosk.core.judging.conformance import judge
from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.models.person import PersonReader
from kiosk.vision.pictures.arrays import resized
from kiosk.vision.pictures.photo_file import decode_still
from kiosk.vision.still import StillVision
from tests.bench.prepared import ROOT
from tests.bench.timing import in_turns_s

TARGETS = {"verdict_over_bare_ratio": 1.6, "verdict_peak_mb": 900.0, "growth_mb_in_2000_stills": 50.0}
STILL_PX = (4000, 6000)
WORKING_SIDE_PX = 1600
SITTER = ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg"
DOCUMENT = "gb-passport-print"
RUNS = 5
LARGE_STILLS = 6
SITTERS = ROOT / "tests" / "data" / "sitters" / "images"
SETTLED, STILLS = 500, 400
"""Stills after which memory is watched, and how many are: until then the allocator's pools fill up. They are small:
it is the passes through the models and the measures that could leak, and 2,000 stills of 24 megapixels take half an
hour."""


def still_jpeg() -> bytes:
    """Return a still of 24 megapixels with the noise of a sensor."""
    picture = cv2.resize(cv2.imread(str(SITTER)), STILL_PX, interpolation=cv2.INTER_CUBIC).astype(np.int16)
    picture += np.random.default_rng(0).integers(-4, 5, picture.shape, dtype=np.int16)
    return simplejpeg.encode_jpeg(picture.clip(0, 255).astype(np.uint8), quality=92, colorspace="BGR")


def measure() -> dict[str, float]:
    """Return the numbers."""
    jpeg = still_jpeg()
    document = Catalogue.load().get(DOCUMENT)
    rgb = decode_still(jpeg)
    factor = WORKING_SIDE_PX / max(rgb.shape)
    working = resized(rgb, round(rgb.shape[1] * factor), round(rgb.shape[0] * factor))
    del rgb
    with StillVision() as vision, FaceReader() as faces:
        person = PersonReader()
        spans = in_turns_s(
            {
                "decode": lambda: simplejpeg.decode_jpeg(jpeg, colorspace="RGB", strict=True),
                "detect": lambda: faces.faces(working),
                "landmarks": lambda: faces.read_averaged(working, faces.faces(working)[0]),
                "segment": lambda: person.mask(working),
                "verdict": lambda: judge(vision.measure(decode_still(jpeg)), document),
            },
            RUNS,
        )
        person.close()
    bare_s = spans["decode"] + spans["landmarks"] + spans["segment"]
    return {
        "verdict_decode_ms": 1e3 * spans["decode"],
        "verdict_landmarks_ms": 1e3 * spans["landmarks"],
        "verdict_segment_ms": 1e3 * spans["segment"],
        "verdict_bare_ms": 1e3 * bare_s,
        "verdict_ms": 1e3 * spans["verdict"],
        "verdict_over_bare_ratio": spans["verdict"] / bare_s,
        **memory(jpeg),
    }


def memory(jpeg: bytes) -> dict[str, float]:
    """Return the peak of a process that judges large stills, and what one that judges many grows by in 2,000."""
    return {"verdict_peak_mb": _in_child(_peak_mb, jpeg), "growth_mb_in_2000_stills": _in_child(_growth_mb, b"")}


def _in_child(work: Callable[[bytes], float], jpeg: bytes) -> float:
    context = multiprocessing.get_context("spawn")
    answer: Any = context.Queue()
    child = context.Process(target=_answer, args=(work, jpeg, answer))
    child.start()
    found = float(answer.get())
    child.join()
    return found


def _answer(work: Callable[[bytes], float], jpeg: bytes, answer: Any) -> None:
    answer.put(work(jpeg))


def _peak_mb(jpeg: bytes) -> float:
    with StillVision() as vision:
        for _ in range(LARGE_STILLS):
            judge(vision.measure(decode_still(jpeg)), Catalogue.load().get(DOCUMENT))
    return _resident_mb("VmHWM")


def _growth_mb(_: bytes) -> float:
    """Return the slope of the resident memory over the stills after the first ones, by least squares, for 2,000."""
    document, sitters = Catalogue.load().get(DOCUMENT), [path.read_bytes() for path in sorted(SITTERS.glob("*.jpg"))]
    resident_mb = []
    with StillVision() as vision:
        for count in range(SETTLED + STILLS):
            judge(vision.measure(decode_still(sitters[count % len(sitters)])), document)
            resident_mb.append(_resident_mb("VmRSS"))
    return 2000 * float(np.polyfit(np.arange(STILLS), resident_mb[SETTLED:], 1)[0])


def _resident_mb(field: str) -> float:
    """Return a field of /proc/self/status (proc(5)), whose kB are of 1024."""
    status = Path(f"/proc/{os.getpid()}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in status if line.startswith(f"{field}:")) * 1024 / 1e6
