"""The responder as a test uses it: started in its own process, told what is to go wrong, ended with the test."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Self

import numpy as np
import simplejpeg

from kiosk.devices.sim.frame import draw
from kiosk.devices.sim.pictures import LIVE_PX, STILL_PX, load_pictures
from kiosk.devices.sim.scenario import Pose

ROOT = Path(__file__).parents[2]
SITTER = ROOT / "demo" / "sitter"


def other_stills(folder: Path, count: int) -> list[Path]:
    """Write small stills, each of another grey, that no sitter is on; and return their paths."""
    paths = [folder / f"other{number}.jpg" for number in range(count)]
    for number, path in enumerate(paths):
        grey = np.full((200, 160, 1), 40 + number * 150 // count, np.uint8)
        path.write_bytes(simplejpeg.encode_jpeg(grey, quality=95, colorspace="GRAY"))
    return paths


def sitter_pictures(folder: Path, pose: Pose | None = None) -> tuple[Path, Path]:
    """Write a live frame and a still of the simulated sitter, and return their paths."""
    grid = load_pictures(SITTER)
    live, still = folder / "live.jpg", folder / "still.jpg"
    for path, size_px, quality in ((live, LIVE_PX, 85), (still, STILL_PX, 95)):
        picture = draw(grid, pose or Pose(), size_px)
        path.write_bytes(simplejpeg.encode_jpeg(picture, quality=quality, colorspace="BGR", colorsubsampling="422"))
    return live, still


class ResponderProcess:
    """A running responder.

    Parameters
    ----------
    live
        The picture that it shows; None of a body whose pictures are marked.
    still
        The picture that it hands out; several in turn are given by `--still` among the options instead.
    options
        More of its command line.
    """

    def __init__(self, live: Path | None, still: Path | None, *options: str | Path) -> None:
        shown = ("--marked",) if live is None or still is None else ("--live", live, "--still", still)
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.ptpip.responder", *shown, *options],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
        )
        assert self._process.stdout is not None
        self.port = int(self._process.stdout.readline())

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def address(self) -> str:
        """Its port as libgphoto2 writes it; the second number is that of the event connection."""
        return f"ptpip:127.0.0.1:{self.port}:{self.port}"

    def fault(self, name: str, count: int = 1) -> None:
        """Let something go wrong at the next `count` occasions; 0 ends it."""
        self.tell(f"fault {name} {count}")

    def tell(self, line: str) -> str:
        """Give an order and return its answer."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(line + "\n")
        self._process.stdin.flush()
        return self._process.stdout.readline().strip()

    def close(self) -> None:
        """End it; may be called twice."""
        if self._process.stdin and not self._process.stdin.closed:
            self._process.stdin.close()
            self._process.wait()
            assert self._process.stdout is not None
            self._process.stdout.close()
