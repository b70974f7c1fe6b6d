"""A printer without borders enlarges the page over its edges: the ruler measures it, and the photo leaves true.

The engine's enlargement is that of Gutenprint's output for a dye-sublimation printer: 105 x 156 mm of pixels for a
paper of 101.6 x 152.4 mm, about the middle of the sheet.
"""

import secrets

import cv2
import numpy as np
import pytest

from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.devices.base import PrintJob
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import Patience
from kiosk.devices.cups.printer import CupsPrinter
from kiosk.devices.cups.set_up import Printing
from kiosk.errors import ScaleUnproven
from kiosk.ready.printer import LEAST_EDGE_MM
from kiosk.render.sheet.ruler import ruler_pdf
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import SystemClock
from kiosk.vision.targets.ruler_page import scale_from_scan
from tests.support.printed import Printed, read_pwg
from tests.support.printer_lab import INDEX, NO_MARGINS, printer_lab
from tests.support.true_scale import measured, sheet_of
from tests.support.virtual_printer import Model, paper

ENLARGED = (105.0 / 101.6, 156.0 / 152.4)
EDGES = Margins(*[LEAST_EDGE_MM] * 4)


def on_paper(received):
    """Return a page as the engine puts it on the paper: enlarged about its middle, and cut off at the edges."""
    height, width = received.pixels.shape[:2]
    across, down = ENLARGED
    move = np.array([[across, 0, (1 - across) * width / 2], [0, down, (1 - down) * height / 2]])
    pixels = cv2.warpAffine(received.pixels, move, (width, height), flags=cv2.INTER_AREA, borderValue=(255, 255, 255))
    return Printed(np.asarray(pixels, np.uint8), received.dpi)


def print_ruler(printer, device):
    """Print the next ruler page, and record what a scan of the paper shows."""
    page = printer.scale.next_page()
    pdf = ruler_pdf(page.ruler, ["photo"])
    printer.print_ruler(PrintJob(secrets.token_hex(4), pdf, INDEX), page)
    lying = on_paper(read_pwg(device.came_out()[-1]))
    grey = np.pad(cv2.cvtColor(lying.pixels, cv2.COLOR_RGB2GRAY), 60, constant_values=200)
    printer.scale.record(scale_from_scan(grey, page.ruler, (lying.dpi, lying.dpi)))


def test_two_ruler_pages_take_the_enlargement_out_of_a_sheet(tmp_path):
    with printer_lab() as lab:
        device = lab.queue("photo", Model((paper(INDEX, NO_MARGINS),)))
        how = Printing(medium("4x6in"), EDGES, borderless=True, patience=Patience(120.0))
        queue, kept = Queue("photo", port=lab.port), (Scales(tmp_path / "scales"), JobJournal(tmp_path / "jobs"))
        printer = CupsPrinter(queue, how, *kept, SystemClock())
        print_ruler(printer, device)
        with pytest.raises(ScaleUnproven, match=r"width was \+3\.3"):
            printer.check()
        print_ruler(printer, device)
        printer.print_sheet(PrintJob("a1", sheet_of(how.medium.size_mm, EDGES), INDEX))
        found = measured(on_paper(read_pwg(device.came_out()[-1])), how.medium.size_mm, EDGES)
        assert found.size_off_mm <= 0.15
        assert found.place_off_mm <= 0.3
        assert printer.standing().edge_mm == LEAST_EDGE_MM
