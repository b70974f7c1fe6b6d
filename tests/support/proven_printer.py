"""The booth's printer on a queue, with its scale proven."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from kiosk.core.print_scale.proof import RulerPage, prove
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.print_scale.scale import Scale
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.devices.cups.job import Patience
from kiosk.devices.cups.options import QUALITY
from kiosk.devices.cups.printer import CupsPrinter
from kiosk.devices.cups.set_up import Printing
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import Clock

PAPER = medium("4x6in")


def printer_on(queue: Any, folder: Path, clock: Clock, patience: Patience | None = None) -> CupsPrinter:
    """Return the printer; what it keeps, and the proof, lie in a folder."""
    how, scales = Printing(PAPER, Margins()), Scales(folder / "scales")
    if patience is not None:
        how = Printing(PAPER, Margins(), patience=patience)
    printer = CupsPrinter(queue, how, scales, JobJournal(folder / "jobs"), clock)
    ruler = ruler_for(PAPER.size_mm, Margins())
    assert ruler is not None
    if scales.get(queue.name, PAPER.name, QUALITY) is None:
        page = RulerPage(1, ruler, Scale(), printer.scale.set_up().digest, clock.today())
        scales.put(queue.name, PAPER.name, QUALITY, prove(page, Scale()))
    return printer
