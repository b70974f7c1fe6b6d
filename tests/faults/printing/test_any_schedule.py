"""Any order of pauses, power cycles, cancels and obstacles over two printers: what is said is what the trays hold.

A sheet that is called printed lies in a tray, one that is called not printed lies in none, and none lies there twice;
where a queue was paused and resumed so soon that nobody could notice it, one that does is called unknown. One that is
called unknown may have come out or not; without a fault none is. What came out is read from the trays of
both engines, and whose sheet it is from the colour of its picture.
"""

import contextlib
import random
import time
from dataclasses import dataclass

import cups
import numpy as np
import pytest

from kiosk.core.base.geometry import Rect, Size
from kiosk.devices.base import PrintJob
from kiosk.devices.cups.device import device_of
from kiosk.devices.printer.fallback import FallbackPrinter
from kiosk.errors import PrinterFault, SheetUnknown
from kiosk.render.drawing.pdf import PdfPage
from tests.faults.printing.conftest import PHOTO_PRINTER, STAYS_S, Rig, proven_printer
from tests.support.printed import read_pwg
from tests.support.printer_lab import INDEX
from tests.support.virtual_printer import wait_for

SEED, SCHEDULES, LONG_SCHEDULES = 17, 6, 60
PATIENCE_S = 1.0
SPAN_S = 2.5
"""A sheet without a fault takes about a second on this chain, so that troubles come before, in and after it."""
PACES_S = (0.0, 0.0, 0.4, 1.5)
OBSTACLES = ("media-empty-error", "cover-open", "marker-supply-empty", "paused", "other", "abort")
TROUBLES = ("pause", "halt", "cycle", "cancel", "obstacle")
HALT_S = 2.0
STEP = 17
"""Between two levels of a colour: 16 levels a channel tell 4096 sheets apart, and survive the way to the printer."""


@dataclass(frozen=True)
class Trouble:
    """What happens to a printer so long after a sheet has been sent."""

    at_s: float
    rig: Rig
    kind: str
    reason: str

    def strike(self) -> None:
        """Let it happen."""
        connection, name = self.rig.lab.connection(), self.rig.device.name
        match self.kind:
            case "pause":
                connection.disablePrinter(name)
            case "halt":
                connection.disablePrinter(name)
                time.sleep(HALT_S)
                connection.enablePrinter(name)
            case "cycle":
                self.rig.device.stop()
                self.rig.device.start()
            case "obstacle":
                self.rig.device.say(self.reason)
            case "cancel":
                for number in connection.getJobs(which_jobs="not-completed", my_jobs=False):
                    cancel(connection, number)


def cancel(connection, number):
    """Cancel a job as anybody may at the server; one that has ended meanwhile is no matter."""
    with contextlib.suppress(cups.IPPError):
        connection.cancelJob(number)


def sheet_of(number):
    """Return a sheet that its picture's colour tells from every other."""
    colour = [STEP * (number >> shift & 15) for shift in (8, 4, 0)]
    page = PdfPage(Size(101.6, 152.4))
    page.draw_picture(page.add_picture(np.full((40, 40, 3), colour, np.uint8)), Rect(25.4, 25.4, 35.0, 45.0))
    return PrintJob(f"s{number}", page.finish(), INDEX)


def in_trays(rigs):
    """Return the numbers of the sheets that lie in the trays, None for what was cut off on its way, and empty them."""
    found: list[int | None] = []
    for rig in rigs:
        for path in rig.device.came_out():
            try:
                page = read_pwg(path)
            except IndexError:
                found.append(None)
                continue
            finally:
                path.unlink()
            middle = page.pixels[round(48 / 25.4 * page.dpi), round(43 / 25.4 * page.dpi)]
            red, green, blue = (round(int(level) / STEP) for level in middle)
            found.append(red << 8 | green << 4 | blue)
    return found


def is_at_rest(rig):
    """Tell whether a device has ended every sheet."""
    jobs = device_of(rig.device.uri).jobs()
    return jobs is not None and all(job.has_ended for job in jobs.values())


def word_for(end):
    """Return how the ledger would book what a printer returned or raised."""
    match end:
        case SheetUnknown():
            return "unknown"
        case PrinterFault():
            return "not_printed"
    return "printed"


def print_under(troubles, rigs, number):
    """Print a sheet while things happen, put both printers right, and return what was said and what lies in trays."""
    printer = FallbackPrinter(*(rig.open(PATIENCE_S, STAYS_S) for rig in rigs))
    said = rigs[0].begin(printer, job=sheet_of(number))
    began_s = time.monotonic()
    for trouble in sorted(troubles, key=lambda one: one.at_s):
        wait_for(lambda at_s=trouble.at_s: said or time.monotonic() - began_s > at_s)
        trouble.strike()
    end = rigs[0].wait(said)
    for rig in rigs:
        rig.device.say()
        rig.lab.connection().enablePrinter(rig.device.name)
    for rig in rigs:
        wait_for(lambda rig=rig: is_at_rest(rig), "a device never came to rest")
        assert word_for(end) == rig.open().how_it_ended(f"s{number}")
    assert rigs[0].kept() == []
    return word_for(end), in_trays(rigs), str(end)


def run(rigs, seed, schedules):
    """Print sheets under schedules from a seed, and hold what is said of each against the trays."""
    chance = random.Random(seed)
    ends = []
    for number in range(schedules):
        for rig in rigs:
            (rig.device.folder / "pace").write_text(str(chance.choice(PACES_S)))
        troubles = [
            Trouble(SPAN_S * chance.random(), chance.choice(rigs), chance.choice(TROUBLES), chance.choice(OBSTACLES))
            for _ in range(chance.choice((0, 1, 1, 2, 3)))
        ]
        word, sheets, sentence = print_under(troubles, rigs, number)
        story = (seed, number, [(t.rig.device.name, round(t.at_s, 2), t.kind, t.reason) for t in troubles], sentence)
        is_sent_again = word == "unknown" and any(trouble.kind == "halt" for trouble in troubles)
        assert sheets in ([], [number], [None]) or (is_sent_again and sheets == [number, number]), story
        assert word != "printed" or sheets == [number], story
        assert word != "not_printed" or not sheets, story
        assert troubles or word == "printed", story
        ends.append(word)
    return ends


@pytest.fixture
def rigs(tmp_path):
    """Return two proven printers of one server that share a journal, as a booth's do."""
    with proven_printer(tmp_path) as first:
        second = Rig(first.lab, first.lab.queue("spare", PHOTO_PRINTER), first.folder)
        second.prove()
        yield first, second


def test_a_few_schedules(rigs):
    assert "printed" in run(rigs, SEED, SCHEDULES)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0])
def test_many_schedules(rigs, seed):
    assert set(run(rigs, seed, LONG_SCHEDULES)) >= {"printed", "unknown"}
