"""A printer behind a private print server, whose scale is proven, and which can be made to fail."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.print_scale.proof import RulerPage, prove
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.print_scale.scale import Scale
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.devices.base import Printer, PrintJob
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import Patience
from kiosk.devices.cups.options import QUALITY
from kiosk.devices.cups.printer import CupsPrinter
from kiosk.devices.cups.set_up import Printing
from kiosk.errors import KioskError
from kiosk.render.drawing.pdf import PdfPage
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import SystemClock
from tests.support.printer_lab import INDEX, PrinterLab, printer_lab
from tests.support.virtual_printer import Model, VirtualPrinter, paper, wait_for

TRUE = Scale()
RULER = ruler_for(Size(101.6, 152.4), Margins())
PHOTO_PRINTER = Model((paper(INDEX, (300, 300, 300, 300)),))
RED = (200, 30, 30)
PATIENCE_S = 0.6
LIMIT_S = 50.0
RECALL_S = 40.0
"""For a sheet that comes out or is given back, however slow the machine is."""
STAYS_S = 5.0
"""For one that stays in the engine."""
SENT = "cups-waiting-for-job-completed"

PPD = """*PPD-Adobe: "4.3"
*FormatVersion: "4.3"
*FileVersion: "1.0"
*LanguageVersion: English
*LanguageEncoding: ISOLatin1
*Manufacturer: "Dye"
*ModelName: "Dye"
*ShortNickName: "Dye"
*NickName: "Dye"
*PCFileName: "DYE.PPD"
*Product: "(Dye)"
*PSVersion: "(3010.000) 0"
*DefaultResolution: 300dpi
*OpenUI *PageSize/Size: PickOne
*DefaultPageSize: 4x6
*PageSize 4x6/4x6: "<</PageSize[288 432]>>setpagedevice"
*CloseUI: *PageSize
*OpenUI *PageRegion/Size: PickOne
*DefaultPageRegion: 4x6
*PageRegion 4x6/4x6: "<</PageSize[288 432]>>setpagedevice"
*CloseUI: *PageRegion
*DefaultImageableArea: 4x6
*ImageableArea 4x6/4x6: "0 0 288 432"
*DefaultPaperDimension: 4x6
*PaperDimension 4x6/4x6: "288 432"
*cupsFilter: "application/pdf 0 {driver}"
"""


def sheet(key: str = "a1") -> PrintJob:
    """Return a sheet with one red photo of 35 x 45 mm."""
    page = PdfPage(Size(101.6, 152.4))
    page.draw_picture(page.add_picture(np.full((1063, 827, 3), RED, np.uint8)), Rect(25.4, 25.4, 35.0, 45.0))
    return PrintJob(key, page.finish(), INDEX)


@dataclass
class Rig:
    """A lab with one photo printer, and the booth's end of it."""

    lab: PrinterLab
    device: VirtualPrinter
    folder: Path
    printing: list[threading.Thread] = field(default_factory=list)

    def open(self, patience_s: float = PATIENCE_S, recall_s: float = RECALL_S) -> CupsPrinter:
        """Open the printer as a booth does that starts now."""
        patience = Patience(max(LIMIT_S, patience_s), patience_s, recall_s)
        how = Printing(medium("4x6in"), Margins(), patience=patience)
        queue = Queue(self.device.name, "localhost", self.lab.port)
        return CupsPrinter(queue, how, Scales(self.folder / "scales"), JobJournal(self.folder / "jobs"), SystemClock())

    @property
    def today(self) -> date:
        """The day of the machine, as the printer sees it."""
        return SystemClock().today()

    def prove(self, found: Scale = TRUE, days_ago: int = 0) -> None:
        """Note a measured ruler page on which this was found."""
        day = self.today - timedelta(days=days_ago)
        proof = prove(RulerPage(1, RULER, Scale(), self.open().scale.set_up().digest, day), found)
        Scales(self.folder / "scales").put(self.device.name, INDEX, QUALITY, proof)

    def begin(self, printer: Printer, key: str = "a1", job: PrintJob | None = None) -> list[str | KioskError]:
        """Print in a thread, as the booth does; what becomes of the sheet comes into the list."""
        ended: list[str | KioskError] = []
        wanted = job or sheet(key)

        def work() -> None:
            try:
                ended.append(printer.print_sheet(wanted))
            except KioskError as error:
                ended.append(error)

        thread = threading.Thread(target=work)
        thread.start()
        self.printing.append(thread)
        return ended

    def in_the_engine(self) -> None:
        """Wait until the engine has begun a sheet, the server has sent all of it, and the booth has looked since."""
        wait_for((self.device.folder / "begun").exists, "the sheet was never begun")
        state = Queue(self.device.name, "localhost", self.lab.port).state
        wait_for(lambda: SENT in state().reasons, "the server never had sent the sheet")
        looks = self._looks()
        wait_for(lambda: self._looks() > looks + 1, "the booth never looked again")

    def _looks(self) -> int:
        """Return how often the device was asked for its sheets."""
        return (self.device.folder / "log").read_text(errors="replace").count("which-jobs=not-completed")

    def wait(self, ended: list[str | KioskError]) -> str | KioskError:
        """Return what became of a sheet."""
        wait_for(lambda: ended, "the sheet never came to an end")
        return ended[0]

    def on_its_way(self, sheets: int = 1) -> None:
        """Wait until the device has the sheet, the first or a later one."""
        log = self.device.folder / "log"
        wait_for(lambda: log.read_text(errors="replace").count("Send-Document successful") >= sheets)

    def kept(self) -> list[str]:
        """Return what the print server keeps of sheets: documents and jobs."""
        jobs = self.lab.connection().getJobs(which_jobs="all", my_jobs=False)
        return [*self.lab.spooled(), *map(str, jobs)]


@contextlib.contextmanager
def proven_printer(folder: Path, model: Model = PHOTO_PRINTER) -> Iterator[Rig]:
    """Run a proven printer, for 4 x 6 in with margins of 3 mm where no other model is given."""
    with printer_lab() as lab:
        made = Rig(lab, lab.queue("photo", model), folder)
        made.prove()
        yield made
        made.device.say()
        for thread in made.printing:
            thread.join(60)
            assert not thread.is_alive()


@contextlib.contextmanager
def driven_printer(folder: Path, driver: str) -> Iterator[tuple[CupsPrinter, Path]]:
    """Open a proven printer that cannot be asked, behind a driver given as a script, and yield it and its folder."""
    with printer_lab() as lab:
        script, description = lab.folder / "driver", lab.folder / "dye.ppd"
        script.write_text(driver)
        script.chmod(0o755)
        description.write_text(PPD.format(driver=script))
        lab.lpadmin("-p", "dye", "-E", "-v", "file:/dev/null", "-P", str(description))
        how = Printing(medium("4x6in"), Margins(), patience=Patience(LIMIT_S, PATIENCE_S, RECALL_S))
        scales, jobs, clock = Scales(folder / "scales"), JobJournal(folder / "jobs"), SystemClock()
        printer = CupsPrinter(Queue("dye", "localhost", lab.port), how, scales, jobs, clock)
        page = RulerPage(1, RULER, TRUE, printer.scale.set_up().digest, clock.today())
        scales.put("dye", INDEX, QUALITY, prove(page, TRUE))
        yield printer, lab.folder


@pytest.fixture
def rig(tmp_path: Path) -> Iterator[Rig]:
    """Return a proven printer."""
    with proven_printer(tmp_path) as made:
        yield made
