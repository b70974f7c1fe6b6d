"""A virtual photo printer: CUPS's own ippeveprinter, with an engine that obeys, and that fails on request."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

PATIENCE_S = 180.0


INCH = 2540
"""In hundredths of a millimetre, the unit of IPP."""


@dataclass(frozen=True)
class Paper:
    """A medium in a virtual printer: its PWG 5101.1 name, and size and margins in hundredths of a millimetre."""

    name: str
    width: int
    height: int
    margins: tuple[int, int, int, int] = (0, 0, 0, 0)
    """Left, top, right, bottom."""


def paper(name: str, margins: tuple[int, int, int, int] = (0, 0, 0, 0)) -> Paper:
    """Return a medium by its PWG 5101.1 name."""
    size = name.rsplit("_", 1)[1]
    unit = INCH if size.endswith("in") else 100
    width, height = (round(float(side) * unit) for side in size[:-2].split("x"))
    return Paper(name, width, height, margins)


@dataclass(frozen=True)
class Model:
    """What a virtual printer says of itself; the first medium is its default.

    `loaded` are the papers that lie in it, all of them where it is None; `ribbon_percent` is not stated where it is.
    """

    papers: tuple[Paper, ...]
    formats: tuple[str, ...] = ("image/pwg-raster",)
    dpi: tuple[int, ...] = (300, 600)
    sides: tuple[str, ...] = ("one-sided",)
    loaded: tuple[str, ...] | None = None
    ribbon_percent: int | None = None

    def attributes(self) -> str:
        """Return the file of IPP attributes for ippeveprinter."""
        names = ",".join(dict.fromkeys(p.name for p in self.papers))
        resolutions = ",".join(f"{dpi}dpi" for dpi in self.dpi)
        sides = {
            side: ",".join(map(str, sorted({p.margins[index] for p in self.papers})))
            for index, side in enumerate(("left", "top", "right", "bottom"))
        }
        sizes = ",\n".join(f"{{ {size} }}" for size in dict.fromkeys(map(_size, self.papers)))
        columns = ",\n".join(_column(p) for p in self.papers)
        return "\n".join(
            [
                f"ATTR mimeMediaType document-format-supported {','.join(self.formats)}",
                f"ATTR mimeMediaType document-format-default {self.formats[0]}",
                f"ATTR keyword media-supported {names}",
                f"ATTR keyword media-ready {names if self.loaded is None else ','.join(self.loaded)}",
                f"ATTR keyword media-default {self.papers[0].name}",
                f"ATTR collection media-col-database {columns}",
                f"ATTR collection media-col-ready {columns}",
                f"ATTR collection media-size-supported {sizes}",
                f"ATTR collection media-col-default {_column(self.papers[0])}",
                *(f"ATTR integer media-{side}-margin-supported {values}" for side, values in sides.items()),
                f"ATTR resolution printer-resolution-supported {resolutions}",
                f"ATTR resolution printer-resolution-default {self.dpi[0]}dpi",
                f"ATTR resolution pwg-raster-document-resolution-supported {resolutions}",
                "ATTR keyword pwg-raster-document-type-supported srgb_8,sgray_8",
                "ATTR keyword pwg-raster-document-sheet-back normal",
                f"ATTR keyword urf-supported V1.4,CP1,W8,SRGB24,RS{'-'.join(map(str, self.dpi))}",
                "ATTR enum print-quality-supported 3,4,5",
                "ATTR enum print-quality-default 4",
                "ATTR keyword print-scaling-supported auto,auto-fit,fill,fit,none",
                "ATTR keyword print-scaling-default auto",
                "ATTR keyword print-color-mode-supported color,monochrome",
                "ATTR keyword print-color-mode-default color",
                f"ATTR keyword sides-supported {','.join(self.sides)}",
                "ATTR keyword sides-default one-sided",
                "ATTR boolean color-supported true",
                "ATTR rangeOfInteger copies-supported 1-99",
                *(
                    ["ATTR name marker-names Ribbon", f"ATTR integer marker-levels {self.ribbon_percent}"]
                    if self.ribbon_percent is not None
                    else []
                ),
                "",
            ]
        )


def _size(of: Paper) -> str:
    return f"MEMBER integer x-dimension {of.width} MEMBER integer y-dimension {of.height}"


def _column(of: Paper) -> str:
    left, top, right, bottom = of.margins
    return (
        f"{{ MEMBER collection media-size {{ {_size(of)} }}"
        f" MEMBER integer media-bottom-margin {bottom} MEMBER integer media-left-margin {left}"
        f" MEMBER integer media-right-margin {right} MEMBER integer media-top-margin {top} }}"
    )


def wait_for(condition: Callable[[], object], what: str = "waited in vain") -> None:
    """Wait until a condition holds; generous, because it only ends a test that has failed."""
    end_s = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < end_s, what
        time.sleep(0.02)


@dataclass
class VirtualPrinter:
    """One ippeveprinter: what it is told, and what it was sent."""

    name: str
    port: int
    folder: Path
    command: list[str]
    environment: dict[str, str]
    process: subprocess.Popen[bytes] | None = None

    @property
    def uri(self) -> str:
        """Where it listens."""
        return f"ipp://localhost:{self.port}/ipp/print"

    def start(self) -> None:
        """Switch it on."""
        log = (self.folder / "log").open("ab")
        with log:
            self.process = subprocess.Popen(
                self.command, env=self.environment, cwd=self.folder, stdout=log, stderr=log, start_new_session=True
            )
        wait_for(lambda: listens(self.port), f"{self.name} does not listen")

    def become(self, model: Model) -> None:
        """Switch it off and on, with another paper or ribbon in it."""
        self.stop()
        (self.folder / "attributes").write_text(model.attributes())
        self.start()

    def stop(self) -> None:
        """Switch it off without notice."""
        if self.process is not None:
            end(self.process, signal.SIGKILL)
            self.process = None

    def say(self, *reasons: str) -> None:
        """Have the next jobs report these printer-state-reasons for as long as they stand.

        `media-low` and `marker-supply-low` hold a sheet that has been begun; `abort` gives it up before, `abort-once`
        only the next one; any other keeps it from being begun.
        """
        # In one step, because the engine takes a file that is being written for one without reasons.
        said = self.folder / "said"
        said.write_text("\n".join(reasons))
        said.replace(self.folder / "reasons")

    def reasons(self) -> list[str]:
        """Return the reasons that stand."""
        with contextlib.suppress(FileNotFoundError):
            return (self.folder / "reasons").read_text().split()
        return []

    def came_out(self) -> list[Path]:
        """Return the documents whose sheets lie in the tray, oldest first."""
        return sorted((self.folder / "tray").iterdir())

    def received(self) -> list[Path]:
        """Return the documents that came, oldest first."""
        spool = self.folder / "spool"
        return sorted(
            (p for p in spool.iterdir() if p.suffix in (".pwg", ".pdf", ".jpg")), key=lambda p: p.stat().st_mtime_ns
        )


def listens(where: int | str) -> bool:
    """Return whether somebody listens on a port of the loopback, or on a socket by its name."""
    kind, address = (socket.AF_UNIX, where) if isinstance(where, str) else (socket.AF_INET, ("127.0.0.1", where))
    with socket.socket(kind) as probe:
        return probe.connect_ex(address) == 0


def end(process: subprocess.Popen[bytes], how: signal.Signals) -> None:
    """End a process with its children: each was started as the head of a group of its own."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, how)
    try:
        process.wait(10)
    except subprocess.TimeoutExpired:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait(10)
