"""A private print server and virtual photo printers, whose received pages are decoded and measured.

cupsd listens on a free port of the loopback and on a socket of its own, and keeps everything in one temporary folder;
the printers are CUPS's own `ippeveprinter`, which takes a sheet as PWG raster, PDF or JPEG and keeps what it was sent.
Everything runs as the user who runs the tests and ends with the lab. Needs the Debian packages cups, cups-client,
cups-ipp-utils, cups-filters, ghostscript and dbus-daemon.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import cups

from kiosk.devices.cups import device

PATIENCE_S = 60.0
_NO_SIGNAL = ("env", "--ignore-signal=XFSZ")
_CUPS_BIN = Path("/usr/lib/cups")
JOBS_TEST = Path(device.__file__).with_name("jobs.test")

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


INDEX = "na_index-4x6_4x6in"
FIVE_SEVEN = "na_5x7_5x7in"
TEN_FIFTEEN = "om_small-photo_100x150mm"
A4 = "iso_a4_210x297mm"
LETTER = "na_letter_8.5x11in"

NO_MARGINS = (0, 0, 0, 0)
EVEN = (318, 318, 318, 318)
UNEVEN = (318, 318, 318, 1270)


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


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


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
        wait_for(lambda: _listens(self.port), f"{self.name} does not listen")

    def become(self, model: Model) -> None:
        """Switch it off and on, with another paper or ribbon in it."""
        self.stop()
        (self.folder / "attributes").write_text(model.attributes())
        self.start()

    def stop(self) -> None:
        """Switch it off without notice."""
        if self.process is not None:
            _end(self.process, signal.SIGKILL)
            self.process = None

    def say(self, *reasons: str) -> None:
        """Have the next jobs report these printer-state-reasons for as long as they stand.

        `media-low` and `marker-supply-low` hold a sheet that has been begun; `abort` gives it up before; any other
        keeps it from being begun.
        """
        # In one step, because the engine takes a file that is being written for one without reasons.
        said = self.folder / "said"
        said.write_text("\n".join(reasons))
        said.replace(self.folder / "reasons")

    def came_out(self) -> list[Path]:
        """Return the documents whose sheets lie in the tray, oldest first."""
        return sorted((self.folder / "tray").iterdir())

    def received(self) -> list[Path]:
        """Return the documents that came, oldest first."""
        spool = self.folder / "spool"
        return sorted(
            (p for p in spool.iterdir() if p.suffix in (".pwg", ".pdf", ".jpg")), key=lambda p: p.stat().st_mtime_ns
        )


_ENGINE = """#!/bin/sh
# What the virtual printer does with a sheet. An obstacle keeps it from beginning, and a sheet that is called back
# before it was begun does not come out. A sheet that was begun comes out, called back or not. Like an engine that
# learns of its paper as it feeds, it has no reasons while it is at rest.
here="$(dirname "$0")"
reasons="$here/reasons"
trap 'echo "STATE: none" >&2' EXIT
said=""
say() {
    now=$(tr '\\n' ',' <"$reasons")
    if [ "$now" != "$said" ]; then echo "STATE: ${now:-none}" | sed 's/,$//' >&2; said="$now"; fi
    sleep 0.05
}
called_back() {
    ipptool -c -T 5 "$(cat "$here/uri")" "$here/jobs.test" 2>/dev/null | grep -q processing-to-stop-point
}
while grep -qsvE '^media-low|^marker-supply-low|^$' "$reasons"; do
    if grep -q '^abort$' "$reasons"; then exit 1; fi
    say
    if called_back; then exit 0; fi
done
if [ "$(stat -c %s "$1")" -le 4 ]; then exit 0; fi
echo "$(basename "$1")" >>"$here/begun"
[ ! -s "$here/pace" ] || sleep "$(cat "$here/pace")"
while [ -s "$reasons" ]; do say; done
cp "$1" "$here/coming" && mv "$here/coming" "$here/tray/$(date +%s%N).pwg"
[ -e "$here/uncounted" ] || echo "ATTR: job-impressions-completed=1" >&2
exit 0
"""


@dataclass
class PrinterLab:
    """A running print server with its printers."""

    folder: Path
    port: int
    environment: dict[str, str]
    server: subprocess.Popen[bytes] | None = None
    printers: list[VirtualPrinter] = field(default_factory=list)

    @property
    def address(self) -> str:
        """The server's socket."""
        return str(self.folder / "cups.sock")

    def start(self, largest_file_bytes: int | None = None) -> None:
        """Start the server; no file of it grows past a size, where one is given, as on a disk that is full."""
        limit = [] if largest_file_bytes is None else [*_NO_SIGNAL, "prlimit", f"--fsize={largest_file_bytes}"]
        command = [
            *limit,
            "/usr/sbin/cupsd",
            "-f",
            "-c",
            f"{self.folder}/etc/cupsd.conf",
            "-s",
            f"{self.folder}/etc/cups-files.conf",
        ]
        self.server = subprocess.Popen(
            command, env=self.environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
        )
        wait_for(lambda: _listens(self.port), "the print server does not listen")

    def kill(self, how: signal.Signals = signal.SIGKILL) -> None:
        """End the server."""
        if self.server is not None:
            _end(self.server, how)
            self.server = None

    def connection(self) -> cups.Connection:
        """Return a connection of pycups."""
        cups.setServer(self.address)
        cups.setPort(self.port)
        return cups.Connection(self.address, self.port)

    def printer(self, name: str, model: Model) -> VirtualPrinter:
        """Switch on a virtual printer, without a queue."""
        folder = self.folder / name
        for name_of in ("spool", "tray"):
            (folder / name_of).mkdir(parents=True)
        (folder / "attributes").write_text(model.attributes())
        command = folder / "command"
        command.write_text(_ENGINE)
        command.chmod(0o755)
        port = _free_port()
        shutil.copy(JOBS_TEST, folder)
        arguments = ["-p", str(port), "-n", "localhost", "-r", "off", "-a", str(folder / "attributes")]
        arguments += ["-d", str(folder / "spool"), "-k", "-c", str(command), name]
        made = VirtualPrinter(name, port, folder, ["/usr/sbin/ippeveprinter", *arguments], self.environment)
        (folder / "uri").write_text(made.uri)
        self.printers.append(made)
        made.start()
        return made

    def queue(self, name: str, model: Model) -> VirtualPrinter:
        """Switch on a virtual printer with a driverless queue of the same name."""
        made = self.printer(name, model)
        connection = self.connection()
        self.lpadmin("-p", name, "-E", "-v", made.uri, "-m", "everywhere")
        wait_for(
            lambda: "IPP Everywhere" in connection.getPrinters().get(name, {}).get("printer-make-and-model", ""),
            f"{name} never became a driverless queue",
        )
        return made

    def lpadmin(self, *arguments: str) -> None:
        """Set up a queue."""
        self.run("/usr/sbin/lpadmin", *arguments)

    def run(self, *command: str) -> str:
        """Run one of CUPS's own programs against this server, and return what it prints."""
        done = subprocess.run(
            command, env=self.environment, capture_output=True, text=True, timeout=PATIENCE_S, check=False
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def spooled(self) -> list[str]:
        """Return the data files that the server keeps."""
        return sorted(p.name for p in (self.folder / "spool").glob("d*"))

    def close(self) -> None:
        """Switch everything off."""
        for printer in self.printers:
            printer.stop()
        self.kill()


@contextlib.contextmanager
def printer_lab(server_settings: Sequence[str] = ()) -> Iterator[PrinterLab]:
    """Run a print server with a folder of its own; its short path leaves room for a socket's name."""
    folder = Path(tempfile.mkdtemp(prefix="lab-", dir="/tmp"))
    folder.chmod(0o755)
    bus = None
    lab = None
    try:
        for name in ("etc", "spool", "spool/tmp", "cache", "run", "log"):
            (folder / name).mkdir(parents=True)
            (folder / name).chmod(0o777)
        port = _free_port()
        (folder / "etc/cups-files.conf").write_text(_files(folder))
        (folder / "etc/cupsd.conf").write_text("\n".join([_server(folder, port), *server_settings, ""]))
        bus, address = _bus(folder)
        environment = {
            "PATH": "/usr/sbin:/usr/bin:/sbin:/bin",
            "HOME": str(folder),
            "LC_ALL": "C.UTF-8",
            "TMPDIR": str(folder / "spool/tmp"),
            "CUPS_SERVER": str(folder / "cups.sock"),
            "DBUS_SYSTEM_BUS_ADDRESS": address,
            "DBUS_SESSION_BUS_ADDRESS": address,
        }
        lab = PrinterLab(folder, port, environment)
        lab.start()
        yield lab
    finally:
        if lab is not None:
            lab.close()
        if bus is not None:
            _end(bus, signal.SIGTERM)
        shutil.rmtree(folder, ignore_errors=True)


def _files(folder: Path) -> str:
    accounts = "User lp\nGroup lp\n" if os.geteuid() == 0 else ""
    return (
        f"{accounts}ServerRoot {folder}/etc\nRequestRoot {folder}/spool\nTempDir {folder}/spool/tmp\n"
        f"CacheDir {folder}/cache\nStateDir {folder}/run\nServerBin {_CUPS_BIN}\nDataDir /usr/share/cups\n"
        f"AccessLog {folder}/log/access\nErrorLog {folder}/log/error\nPageLog {folder}/log/page\n"
        "FileDevice Yes\nSystemGroup root lpadmin\nSandboxing relaxed\n"
    )


def _server(folder: Path, port: int) -> str:
    return (
        f"Listen localhost:{port}\nListen {folder}/cups.sock\nLogLevel debug\nBrowsing No\nWebInterface No\n"
        "DefaultAuthType None\nPreserveJobHistory Yes\nPreserveJobFiles No\nErrorPolicy stop-printer\n"
        "JobRetryInterval 1\nMaxLogSize 0\nDirtyCleanInterval 0\n"
        "<Location />\n  Order allow,deny\n  Allow localhost\n</Location>\n"
        "<Policy default>\n  JobPrivateAccess all\n  JobPrivateValues none\n  SubscriptionPrivateAccess all\n"
        "  SubscriptionPrivateValues none\n  <Limit All>\n    Order deny,allow\n  </Limit>\n</Policy>"
    )


def _bus(folder: Path) -> tuple[subprocess.Popen[bytes], str]:
    address = f"unix:path={folder}/bus"
    process = subprocess.Popen(
        ["dbus-daemon", "--session", f"--address={address}", "--nofork", "--nopidfile"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    wait_for((folder / "bus").exists, "no bus")
    return process, address


def _listens(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def _end(process: subprocess.Popen[bytes], how: signal.Signals) -> None:
    """End a process with its children: each was started as the head of a group of its own."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, how)
    try:
        process.wait(10)
    except subprocess.TimeoutExpired:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait(10)
