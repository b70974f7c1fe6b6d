"""Somebody sets defaults of the queue at the print server: they void the proof of scale, and change no sheet.

The defaults are those that changed or lost a page on this chain when a job did not say otherwise.
"""

import contextlib

import numpy as np
import pytest

from kiosk.devices.cups.job import ONE_SIDE
from kiosk.errors import PrinterFault, ScaleUnproven, SheetUnknown
from tests.faults.printing.conftest import proven_printer, sheet
from tests.support.cases import slow_but
from tests.support.printed import read_pwg
from tests.support.printer_lab import FIVE_SEVEN, INDEX
from tests.support.virtual_printer import Model, paper

DEFAULTS = [
    "mirror=true",
    "booklet=true",
    "landscape=true",
    "monochrome=true",
    "print-color-mode=monochrome",
    "ColorModel=Gray",
    "page-border=double-thick",
    "page-label=words",
    "page-ranges=2-3",
    "page-set=even",
    "PageSize=5x7",
    "PageRegion=5x7",
    "Resolution=300dpi",
    "printer-resolution=300dpi",
    "number-up=2",
    "orientation-requested=4",
    "print-scaling=fill",
    "fit-to-page=true",
    "outputorder=reverse",
]
UNSEEN = ("printer-resolution=300dpi", "print-color-mode=monochrome")
"""The server states the first of itself in the same words, and the second now so and now so from start to start."""
EVEN = tuple([300] * 4)


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    """Return a rig with two papers, and the raster of its sheet without any default."""
    model = Model((paper(INDEX, EVEN), paper(FIVE_SEVEN, EVEN)))
    with proven_printer(tmp_path_factory.mktemp("rig"), model) as rig:
        rig.open().print_sheet(sheet("plain"))
        yield rig, read_pwg(rig.device.received()[-1])


@contextlib.contextmanager
def changed(rig, default):
    """Set a default of the queue, and take it back."""
    name, _, value = default.partition("=")
    rig.lab.lpadmin("-p", "photo", "-o", f"{name}-default={value}")
    try:
        yield name
    finally:
        rig.lab.lpadmin("-p", "photo", "-R", f"{name}-default")
        rig.prove()


@pytest.mark.parametrize("default", [default for default in DEFAULTS if default not in UNSEEN])
def test_a_default_that_was_changed_voids_the_proof_and_nothing_is_sent(shared, default):
    rig, _ = shared
    before = len(rig.device.received())
    with changed(rig, default), pytest.raises(ScaleUnproven, match="have changed since"):
        rig.open().print_sheet(sheet("void"))
    assert len(rig.device.received()) == before


@pytest.mark.parametrize("default", slow_but(DEFAULTS[::4], DEFAULTS))
def test_a_sheet_is_the_same_to_the_pixel_whatever_the_defaults(shared, default):
    rig, plain = shared
    with changed(rig, default) as name:
        rig.prove()
        rig.open().print_sheet(sheet(name))
    received = read_pwg(rig.device.received()[-1])
    assert len(rig.device.came_out()) == len(rig.device.received())
    assert received.dpi == plain.dpi
    assert np.array_equal(received.pixels, plain.pixels)


def test_a_sheet_of_which_no_page_was_sent_is_not_printed(rig):
    delivery = rig.open()._journalled
    with delivery.alone(), pytest.raises(PrinterFault, match="no page of the sheet was sent") as lost:
        delivery.deliver("a1", sheet().pdf, {"media": "4x6", "page-set": "even"}, ONE_SIDE)
    assert not isinstance(lost.value, SheetUnknown)
    assert rig.device.came_out() == []
    assert rig.open().how_it_ended("a1") == "not_printed"
