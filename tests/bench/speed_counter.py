"""What one photo from the shell costs, and how much faster a folder is on two cores than on one.

The bare work for one photo is a process that loads numpy, OpenCV and the models, decodes the photo and runs each model
once as a verdict needs it: what no command in Python can do without. For a folder it is two processes that know nothing
of each other, each on a core of its own: cores that share a cache or a memory are not twice as fast as one.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from kiosk.catalogue.documents import Catalogue
from kiosk.pipeline.counter import MeasureJob
from kiosk.pipeline.photo_pool import each_photo
from tests.bench.prepared import ROOT

TARGETS = {"command_s": 0.8, "folder_two_cores_share": 1 / 1.9, "folder_processor_ratio": 1.05}
SITTERS = ROOT / "tests" / "data" / "sitters" / "images"
PHOTO = ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg"
DOCUMENT = "gb-passport-print"
RUNS = 7
FOLDER = 240
"""Photos in the folder: so many that loading a process, 0.5 s, hardly counts."""
APART = 30
"""Photos of each process that works for itself."""
BARE = """
import sys
from pathlib import Path
import cv2, numpy, simplejpeg
from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.models.person import PersonReader
rgb = simplejpeg.decode_jpeg(Path(sys.argv[1]).read_bytes(), colorspace="RGB", strict=True)
with FaceReader() as faces:
    faces.read_averaged(rgb, faces.faces(rgb)[0])
    PersonReader().mask(rgb)
"""
WORK = """
import os, sys, time
from pathlib import Path
from kiosk.catalogue.documents import Catalogue
from kiosk.pipeline.counter import MeasureJob
from kiosk.vision.still import StillVision
os.sched_setaffinity(0, {int(sys.argv[1])})
job, vision, (first, *others) = MeasureJob((Catalogue.load().get(sys.argv[2]),)), StillVision(), map(Path, sys.argv[3:])
job(first, vision)
print(flush=True)
sys.stdin.readline()
began_s = time.perf_counter()
for path in others:
    job(path, vision)
print(time.perf_counter() - began_s)
"""


def measure() -> dict[str, float]:
    """Return the numbers: wall time on its own, and processor time, which other programs hardly change."""
    command = [sys.executable, "-m", "kiosk.cli", "measure", str(PHOTO), "--document", DOCUMENT]
    bare = [sys.executable, "-c", BARE, str(PHOTO)]
    runs = [(_spent(lambda: _run(bare)), _spent(lambda: _run(command))) for _ in range(RUNS)]
    bare_s, command_s = (statistics.median(run[which].processor_s for run in runs) for which in (0, 1))
    one, two = (_spent(lambda cores=cores: _folder(cores)) for cores in (1, 2))
    return {
        "command_s": statistics.median(run[1].wall_s for run in runs),
        "command_processor_s": command_s,
        "command_bare_processor_s": bare_s,
        "command_over_bare_ratio": command_s / bare_s,
        "folder_one_core_s": one.wall_s,
        "folder_two_cores_s": two.wall_s,
        "folder_two_cores_share": two.wall_s / one.wall_s,
        "folder_processor_ratio": two.processor_s / one.processor_s,
        "folder_two_cores_share_apart": _apart(2) / _apart(1) / 2,
    }


class _Spent(NamedTuple):
    """What a call took, with the processes that it started and waited for."""

    wall_s: float
    processor_s: float


def _spent(function: Callable[[], object]) -> _Spent:
    began_s, used_s = time.perf_counter(), _processor_s()
    function()
    return _Spent(time.perf_counter() - began_s, _processor_s() - used_s)


def _processor_s() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


def _run(command: Sequence[str]) -> None:
    subprocess.run(command, check=True, capture_output=True)


def _apart(cores: int) -> float:
    """Return the time that photos take, the same number in each of as many processes, once all are loaded."""
    sources = sorted(SITTERS.glob("*.jpg"))[: APART + 1]
    loaded = [
        subprocess.Popen(
            [sys.executable, "-c", WORK, str(core), DOCUMENT, *map(str, sources)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for core in sorted(os.sched_getaffinity(0))[:cores]
    ]
    for process in loaded:
        assert process.stdout is not None
        process.stdout.readline()
    for process in loaded:
        assert process.stdin is not None
        process.stdin.write("\n")
        process.stdin.flush()
    return max(float(process.communicate()[0]) for process in loaded)


def _folder(cores: int) -> None:
    """Measure a folder of photos on so many cores, with as many processes."""
    allowed = os.sched_getaffinity(0)
    sources = sorted(SITTERS.glob("*.jpg"))
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / f"{number:03}.jpg" for number in range(FOLDER)]
        for number, path in enumerate(paths):
            path.symlink_to(sources[number % len(sources)])
        job = MeasureJob((Catalogue.load().get(DOCUMENT),))
        os.sched_setaffinity(0, set(sorted(allowed)[:cores]))
        try:
            list(each_photo(job, paths, cores))
        finally:
            os.sched_setaffinity(0, allowed)
