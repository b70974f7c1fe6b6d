"""A sheet with two photos of 35 x 45 mm, printed through the real chain, and how far off the printer received it."""

from __future__ import annotations

import io
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.print_scale.proof import RulerPage, prove
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.print_scale.scale import Scale
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.devices.base import PrintJob
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import Patience
from kiosk.devices.cups.options import QUALITY
from kiosk.devices.cups.printer import CupsPrinter
from kiosk.devices.cups.set_up import Printing
from kiosk.render.drawing.pdf import PdfPage
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import SystemClock
from tests.support.printed import Printed, read_page
from tests.support.printer_lab import PrinterLab
from tests.support.virtual_printer import Model, Paper, VirtualPrinter, paper, wait_for

UPRIGHT, TURNED = (200, 30, 30), (30, 60, 190)
PHOTO_MM = Size(35.0, 45.0)
TRUE = Scale()


@dataclass(frozen=True)
class Received:
    """The upright photo as the printer received it, and the most that any side of either photo is off."""

    width_mm: float
    height_mm: float
    size_off_mm: float
    place_off_mm: float


def photos_of(size_mm: Size, margins: Margins) -> tuple[Rect, Rect]:
    """Return an upright photo at the upper left and a turned one at the lower right, between pixels."""
    first = Rect(margins.left_mm + 1.03, margins.top_mm + 1.27, PHOTO_MM.width, PHOTO_MM.height)
    x_mm = size_mm.width - margins.right_mm - 1.41 - PHOTO_MM.height
    y_mm = size_mm.height - margins.bottom_mm - 1.13 - PHOTO_MM.width
    return first, Rect(x_mm, y_mm, PHOTO_MM.height, PHOTO_MM.width)


def sheet_of(size_mm: Size, margins: Margins) -> bytes:
    """Return a sheet with both photos."""
    page = PdfPage(size_mm)
    for rect, colour in zip(photos_of(size_mm, margins), (UPRIGHT, TURNED), strict=True):
        pixels = [round(side / 25.4 * 600) for side in (rect.height, rect.width)]
        page.draw_picture(page.add_picture(np.full((*pixels, 3), colour, np.uint8)), rect)
    return page.finish()


def measured(page: Printed, size_mm: Size, margins: Margins) -> Received:
    """Measure both photos."""
    boxes = [page.box_mm(colour) for colour in (UPRIGHT, TURNED)]
    sizes, places = [], []
    for (left, top, width, height), rect in zip(boxes, photos_of(size_mm, margins), strict=True):
        sizes += [abs(width - rect.width), abs(height - rect.height)]
        places += [abs(left - rect.x), abs(top - rect.y)]
    return Received(boxes[0][2], boxes[0][3], max(sizes), max(places))


@dataclass
class Station:
    """One virtual printer with one paper, its queue, and the booth's end of it, whose scale is proven."""

    lab: PrinterLab
    device: VirtualPrinter
    paper: Paper
    printer: CupsPrinter
    printing: Printing

    @property
    def size_mm(self) -> Size:
        """The paper."""
        return self.printing.medium.size_mm

    def print_true(self) -> Received:
        """Print as the booth does."""
        sheet = sheet_of(self.size_mm, self.printing.margins)
        self.printer.print_sheet(PrintJob(secrets.token_hex(4), sheet, self.paper.name))
        return self._measure()

    def print_plain(self, scaling: str) -> Received:
        """Print as any program does, with a scaling of CUPS's own, or with none said."""
        keyword = self.printer.scale.set_up().medium.keyword
        options = {"media": keyword, "print-quality": QUALITY, **({"print-scaling": scaling} if scaling else {})}
        self._send(sheet_of(self.size_mm, self.printing.margins), "application/pdf", options)
        return self._measure()

    def print_jpeg(self) -> Received:
        """Print a sheet of whole pixels with its resolution in its tags."""
        dpi = self.printer.scale.set_up().driver.dpi[0]
        width, height = (round(side / 25.4 * dpi) for side in (self.size_mm.width, self.size_mm.height))
        pixels = np.full((height, width, 3), 255, np.uint8)
        for rect, colour in zip(photos_of(self.size_mm, self.printing.margins), (UPRIGHT, TURNED), strict=True):
            left, top = (round(side / 25.4 * dpi) for side in (rect.x, rect.y))
            wide, high = (round(side / 25.4 * dpi) for side in (rect.width, rect.height))
            pixels[top : top + high, left : left + wide] = colour
        file = io.BytesIO()
        Image.fromarray(pixels).save(file, "JPEG", quality=95, subsampling=0, dpi=(dpi, dpi))
        options = {
            "media": self.printer.scale.set_up().medium.keyword,
            "print-quality": QUALITY,
            "print-scaling": "none",
        }
        self._send(file.getvalue(), "image/jpeg", options)
        return self._measure()

    def _send(self, document: bytes, kind: str, options: dict[str, str]) -> None:
        connection, name = self.lab.connection(), self.device.name
        number = connection.createJob(name, "plain sheet", options)
        connection.startDocument(name, number, "plain sheet", kind, 1)
        connection.writeRequestData(document, len(document))
        connection.finishDocument(name)
        wait_for(lambda: connection.getJobAttributes(number)["job-state"] >= 7, "the job never ended")

    def _measure(self) -> Received:
        path = self.device.received()[-1]
        received = measured(read_page(path), self.size_mm, self.printing.margins)
        path.unlink()
        return received


@contextmanager
def station(
    lab: PrinterLab,
    folder: Path,
    name: str,
    margins: tuple[int, int, int, int],
    kind: str,
    sides: tuple[str, ...] = ("one-sided",),
) -> Iterator[Station]:
    """Switch on a printer with one paper, margins in hundredths of a millimetre, and one format; off at the end."""
    paper_of = paper(name, margins)
    queue = f"photo{len(lab.printers)}"
    formats = (kind,) if kind != "image/jpeg" else (kind, "image/pwg-raster")
    device = lab.queue(queue, Model((paper_of,), formats, sides=sides))
    reach = [max(0.0, side / 100 + 0.01) for side in margins]
    how = Printing(medium(name), Margins(*reach), patience=Patience(120.0))
    scales, clock = Scales(folder / "scales"), SystemClock()
    printer = CupsPrinter(Queue(queue, port=lab.port), how, scales, JobJournal(folder / "jobs"), clock)
    ruler = ruler_for(how.medium.size_mm, how.margins)
    assert ruler is not None
    page = RulerPage(1, ruler, TRUE, printer.scale.set_up().digest, clock.today())
    scales.put(queue, how.medium.name, QUALITY, prove(page, TRUE))
    try:
        yield Station(lab, device, paper_of, printer, how)
    finally:
        device.stop()
