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
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import cups

from kiosk.devices.cups import device
from tests.support.ports import reserved_port
from tests.support.virtual_printer import PATIENCE_S, Model, VirtualPrinter, end, listens, wait_for

_NO_SIGNAL = ("env", "--ignore-signal=XFSZ")
_CUPS_BIN = Path("/usr/lib/cups")
JOBS_TEST = Path(device.__file__).with_name("jobs.test")


INDEX = "na_index-4x6_4x6in"
FIVE_SEVEN = "na_5x7_5x7in"
TEN_FIFTEEN = "om_small-photo_100x150mm"
A4 = "iso_a4_210x297mm"
LETTER = "na_letter_8.5x11in"

NO_MARGINS = (0, 0, 0, 0)
EVEN = (318, 318, 318, 318)
UNEVEN = (318, 318, 318, 1270)


_ENGINE = """#!/bin/sh
# What the virtual printer does with a sheet. An obstacle keeps it from beginning, and a sheet that is called back
# before it was begun does not come out. A sheet that was begun comes out, called back or not. It counts the pages that
# it gets, into which the server puts copies, unless it is told what to count. Like an engine that learns of its paper
# as it feeds, it has no reasons while it is at rest.
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
    if grep -q '^abort-once$' "$reasons"; then sed -i '/^abort-once$/d' "$reasons"; exit 1; fi
    say
    if called_back; then exit 0; fi
done
if [ "$(stat -c %s "$1")" -le 4 ]; then exit 0; fi
echo "$(basename "$1")" >>"$here/begun"
[ ! -s "$here/pace" ] || sleep "$(cat "$here/pace")"
while [ -s "$reasons" ]; do say; done
cp "$1" "$here/coming" && mv "$here/coming" "$here/tray/$(date +%s%N).pwg"
case "$1" in
    *.pwg) count=$(grep -ao PwgRaster "$1" | wc -l) ;;
    *.pdf) count=$(pdfinfo "$1" | sed -n 's/^Pages: *//p') ;;
    *) count=1 ;;
esac
count=$(cat "$here/counted" 2>/dev/null || echo "$count")
[ -e "$here/uncounted" ] || echo "ATTR: job-impressions-completed=$count" >&2
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
    reserved: list[socket.socket] = field(default_factory=list)

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
        wait_for(lambda: listens(self.port) and listens(self.address), "the print server does not listen")

    def kill(self, how: signal.Signals = signal.SIGKILL) -> None:
        """End the server."""
        if self.server is not None:
            end(self.server, how)
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
        held, port = reserved_port()
        self.reserved.append(held)
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
        for held in self.reserved:
            held.close()


@contextlib.contextmanager
def printer_lab(server_settings: Sequence[str] = ()) -> Iterator[PrinterLab]:
    """Run a print server with a folder of its own; its short path leaves room for a socket's name."""
    folder = Path(tempfile.mkdtemp(prefix="lab-", dir="/tmp"))
    folder.chmod(0o755)
    held, port = reserved_port()
    bus = None
    lab = None
    try:
        for name in ("etc", "spool", "spool/tmp", "cache", "run", "log"):
            (folder / name).mkdir(parents=True)
            (folder / name).chmod(0o777)
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
            end(bus, signal.SIGTERM)
        held.close()
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
