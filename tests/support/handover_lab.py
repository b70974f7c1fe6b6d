"""A file that is really handed over: a process that holds it, a phone that asks for it, and mounted USB sticks.

The sticks are tmpfs file systems in a mount namespace of their own, in which this module runs as a program:

    unshare --map-root-user --mount python -m tests.support.handover_lab FOLDER SCENE
"""

import contextlib
import http.client
import json
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from kiosk.handover.keeper import LOOK_S
from kiosk.handover.process import HandedFile, Service
from kiosk.page.messages import Endpoint
from tests.support.memory_lab import known_picture

NAME = "de-passport-print_2026-11-30"
LIMIT_S = 60.0


def picture(seed=1):
    return known_picture(seed, 400_000)


@contextlib.contextmanager
def handed(content, port=0, sticks="", keep_s=300.0, **where):
    """Hold a file in its own process, for a phone on loopback."""
    service = Service(Endpoint("127.0.0.1", port, **where), sticks, keep_s)
    file = Handed(HandedFile(service, content, NAME))
    try:
        yield file
    finally:
        file.file.end()
        file.file.process.wait(LIMIT_S)


@dataclass
class Handed:
    """A file, and all that was said of it."""

    file: HandedFile
    said: tuple[str, ...] = ()

    def hears(self, limit_s):
        """Wait for anything more that is said; return whether it was."""
        before, end_s = len(self.said), time.monotonic() + limit_s
        while len(self.said) == before and time.monotonic() < end_s:
            self.said += tuple(self.file.poll())
            time.sleep(0.01)
        return len(self.said) > before

    def until(self, *words):
        """Wait for one of these words."""
        end_s = time.monotonic() + LIMIT_S
        while not set(words) & set(self.said):
            assert time.monotonic() < end_s, self.said
            self.said += tuple(self.file.poll())
            time.sleep(0.01)
        return self.said[-1]

    def opened(self, language="en"):
        """Open it to a phone, and return the phone."""
        assert self.file.go("phone", language) is None
        self.until("link")
        return Phone(self.file.link)


@dataclass
class Phone:
    """A phone that has read the code on the screen."""

    link: str

    @property
    def port(self):
        return urlsplit(self.link).port

    @property
    def page(self):
        return urlsplit(self.link).path

    @property
    def file(self):
        return f"{self.page}/{NAME}.jpg"

    def ask(self, path, method="GET", source="127.0.0.1"):
        """Return status, headers and body of an answer."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LIMIT_S, source_address=(source, 0))
        with contextlib.closing(connection):
            connection.request(method, path)
            answer = connection.getresponse()
            return answer.status, dict(answer.getheaders()), answer.read()

    def status(self, path, method="GET"):
        return self.ask(path, method)[0]


def eventually(check):
    """Return whether something comes to hold."""
    end_s = time.monotonic() + LIMIT_S
    while not check():
        if time.monotonic() > end_s:
            return False
        time.sleep(0.05)
    return True


def plug(folder, *options):
    """Mount a stick, as the machine does when it is plugged in."""
    folder.mkdir(exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", *options, "stick", folder], check=True)


def plug_again(folder, of):
    """Take a stick out for longer than the process takes to see it, and plug it in; until something is said of it.

    The process takes what is left of the machine, so that nobody knows beforehand how long that is.
    """
    for out_s in (4 * LOOK_S, 16 * LOOK_S, 64 * LOOK_S):
        subprocess.run(["umount", "--lazy", folder], check=True)
        time.sleep(out_s)
        plug(folder)
        if of.hears(4 * out_s):
            return


def there(folder):
    return sorted(path.name for path in folder.iterdir())


def play(folder, scene):
    """Return what was said of the file, and what is on each stick afterwards."""
    mine, others = folder / "mine", folder / "left in the slot"
    plug(others)
    (others / "holiday.jpg").write_bytes(b"somebody else's")
    with handed(picture(), sticks=f"{folder}/*") as of:
        of.until("kept")
        of.file.go("stick", "en")
        of.until("insert")
        match scene:
            case "good":
                plug(mine)
            case "again":
                plug_again(others, of)
            case "named":
                plug(folder / "new", "-o", "size=4m")
                of.until("taken")
                (folder / "new" / f"{NAME}.jpg").write_bytes(b"of before")
                return list(of.said), {"new": there(folder / "new"), "others": there(others)}
            case "full":
                plug(mine, "-o", "size=64k")
            case "read_only":
                plug(mine, "-o", "ro")
            case "full_then_good":
                plug(mine, "-o", "size=64k")
                of.until("full")
                of.file.go("stick", "en")
                of.hears(LIMIT_S)
                plug_again(mine, of)
        of.until("taken", "full" if scene != "full_then_good" else "taken", "read_only", "pulled", "unwritable")
        if scene == "good":
            assert (mine / f"{NAME}.jpg").read_bytes() == picture()
    return list(of.said), {"mine": there(mine) if mine.exists() else [], "others": there(others)}


if __name__ == "__main__":
    print(json.dumps(play(Path(sys.argv[1]), sys.argv[2])))
