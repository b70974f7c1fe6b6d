"""A printer behind CUPS: refuses what would not be true to scale, prints a sheet once, and leaves nothing behind."""

from __future__ import annotations

from collections.abc import Callable

from kiosk.core.print_colour.proof import ColourPage
from kiosk.core.print_scale.proof import RulerPage, is_due, refusal
from kiosk.core.print_scale.scale import Counter, Scale
from kiosk.core.session.facts import SheetEnd
from kiosk.core.sheet.imposition import Medium
from kiosk.core.sheet.media import medium
from kiosk.devices.base import PrinterStanding, PrintJob, Supply
from kiosk.devices.cups.colour_guard import ColourGuard
from kiosk.devices.cups.colours import UNMANAGED, in_colours
from kiosk.devices.cups.connection import Queue, QueueState
from kiosk.devices.cups.fitted import fit_sheet, pages_in
from kiosk.devices.cups.journalled_queue import JournalledQueue
from kiosk.devices.cups.kept import Journal, Proofs
from kiosk.devices.cups.options import sheet_options
from kiosk.devices.cups.scale_guard import ScaleGuard
from kiosk.devices.cups.set_up import Printing, SetUp
from kiosk.devices.cups.standing import DeviceStanding
from kiosk.devices.cups.witness import Output
from kiosk.errors import ColourUnproven, PrinterFault, ScaleUnproven, SheetUnknown
from kiosk.system.clock import Clock

POLICY = "stop-printer"
"""The error policy of the queue: every other one prints again by itself, or gives sheets up in silence."""


class CupsPrinter:
    """One queue; `print_sheet` blocks until the sheet's end is known.

    Its first turn purges what a crash has left with the print server; the journal calls such a sheet unknown.

    Attributes
    ----------
    scale
        The guard of its scale.
    colour
        The guard of its colour.
    """

    def __init__(self, queue: Queue, printing: Printing, proofs: Proofs, jobs: Journal, clock: Clock) -> None:
        self.scale = ScaleGuard(queue, printing, proofs, clock)
        self.colour = ColourGuard(queue, printing, proofs, clock)
        self._queue = queue
        self._printing = printing
        self._journalled = JournalledQueue(queue, printing, jobs, clock)
        self._clock = clock
        self._supplies: tuple[Supply, ...] = ()

    @property
    def name(self) -> str:
        """The queue."""
        return self._queue.name

    @property
    def medium(self) -> Medium:
        """The paper in it."""
        return self._printing.medium

    @property
    def notice(self) -> str:
        """What runs out in it, by the last check or sheet."""
        low = [supply for supply in self._supplies if supply.is_low]
        return " ".join(f"{supply.name} of {self.name} is at {supply.percent} %." for supply in low)

    def check(self) -> None:
        """Return where a document could be printed now.

        Raises
        ------
        PrinterFault
            The server, queue or printer could not; `ScaleUnproven` or `ColourUnproven` where a proof is missing.
        """
        set_up = self._could_print()
        self.scale.proven(set_up)
        self.colour.check(set_up)

    def standing(self) -> PrinterStanding:
        """Return how it stands, for a check before the booth opens; raises nothing of a printer's."""
        proof, today = self.scale.proof(), self._clock.today()
        obstacle = next_step = ""
        set_up = None
        digest, edge_mm = proof.set_up if proof is not None else "", None
        try:
            set_up = self._could_print()
            digest, edge_mm = set_up.digest, self._edge_mm(set_up)
        except PrinterFault as fault:
            obstacle, next_step = str(fault), fault.advice
        unproven: PrinterFault | None = None
        if why := refusal(proof, digest, today):
            unproven = ScaleUnproven(printer=self.name, detail=why)
        elif why := self.colour.demand(set_up):
            unproven = ColourUnproven(printer=self.name, detail=why)
        return PrinterStanding(
            self.name,
            self._printing.medium.name,
            obstacle,
            str(unproven) if unproven is not None else "",
            next_step or (unproven.advice if unproven is not None else ""),
            proof.measured_on if proof is not None else None,
            proof.found.error if proof is not None else None,
            proof is not None and is_due(proof, today),
            self._supplies,
            edge_mm,
            self.colour.standing(set_up),
        )

    def print_sheet(self, job: PrintJob) -> str:
        """Print a sheet of documents and return the queue and the job's number.

        Raises
        ------
        ScaleUnproven
            The scale was never measured, is off by more than 0.5 %, was measured too long ago, or something has
            changed since.
        ColourUnproven
            The same holds for its colour, where the settings ask for a proof of it.
        SheetUnknown
            Whether it came out cannot be known; this key is never sent again.
        PrinterFault
            It was not printed, and why.
        """
        with self._journalled.alone():
            before = self._journalled.place_of(job.key)
            if before:
                return before
            set_up = self._ready()
            proof = self.scale.proven(set_up)
            self.colour.check(set_up)
            if medium(job.medium) != self._printing.medium:
                raise self._fault(f"the sheet is for {job.medium} and the paper is {self._printing.medium.name}")
            return self._print(job, set_up, proof.whole.counter(set_up.medium.size_mm))

    def print_ruler(self, job: PrintJob, page: RulerPage) -> str:
        """Print a ruler page, which needs no proof, against the scale that it names; errors as `print_sheet`.

        Raises
        ------
        CannotWrite
            The page came out and cannot be noted; it is not to be measured.
        """
        return self._print_page(job, page.sent, lambda: self.scale.note(page))

    def print_colours(self, job: PrintJob, page: ColourPage) -> str:
        """Print a colour page, which needs no proof, through the queue's profile; errors as `print_ruler`."""
        scale = self.scale.proof()
        return self._print_page(job, scale.whole if scale is not None else Scale(), lambda: self.colour.note(page))

    def how_it_ended(self, key: str) -> SheetEnd:
        """Return what the journal says of a sheet; one that it never heard of was not printed."""
        return self._journalled.how_it_ended(key)

    def _print_page(self, job: PrintJob, sent: Scale, note: Callable[[], None]) -> str:
        """Print a page that is to be measured against a scale, and note it where it came out or may have."""
        with self._journalled.alone():
            set_up = self._ready()
            try:
                place = self._print(job, set_up, sent.counter(set_up.medium.size_mm))
            except SheetUnknown:
                note()
                raise
            note()
            return place

    def _edge_mm(self, set_up: SetUp) -> float | None:
        return set_up.from_edge_mm(self._printing.margins) if set_up.is_borderless else None

    def _could_print(self) -> SetUp:
        """Return what a sheet would be printed with, where one could be printed at all."""
        with self._journalled.turn() as alone:
            return self._ready(purge=alone)

    def _ready(self, *, purge: bool = True) -> SetUp:
        """Check queue and device, and once after the start remove what an earlier run has left."""
        self._supplies = ()
        if purge:
            self._journalled.purge()
        state = self._queue.state()
        device = self._queue.device(state.device_uri)
        standing = device.standing() if device is not None else DeviceStanding()
        self._supplies = standing.supplies or state.supplies
        obstacle = _obstacle(state, standing) or standing.lacks(self._printing.medium) or _used_up(standing)
        if obstacle:
            raise self._fault(obstacle)
        set_up = self.scale.set_up()
        taken, made = standing.formats, set_up.driver.formats
        if taken and made and not set(taken) & set(made):
            raise self._fault(
                f"it takes {', '.join(taken)} and its queue makes {', '.join(made)}; set the queue up anew"
            )
        return set_up

    def _print(self, job: PrintJob, set_up: SetUp, counter: Counter) -> str:
        try:
            pdf = fit_sheet(job.pdf, set_up.medium.size_mm, counter, set_up.driver.dpi, sheet_mm=set_up.sheet_mm)
            if self._printing.colours is not None:
                pdf = in_colours(pdf, self._printing.colours)
        except PrinterFault as fault:
            raise self._fault(str(fault.params["detail"])) from fault
        pages = pages_in(pdf)
        with_back = set_up.driver.is_duplex and pages > 1
        limit_s, extra = self._printing.patience.limit_s, self._printing.options
        if self._printing.colours is not None:
            extra = {**extra, **UNMANAGED}
        options = sheet_options(set_up.driver, set_up.medium, job.copies, limit_s, extra, with_back=with_back)
        output = Output(pages * job.copies, (1 if with_back else pages) * job.copies)
        return self._journalled.deliver(job.key, pdf, options, output)

    def _fault(self, detail: str) -> PrinterFault:
        return PrinterFault(printer=self.name, detail=detail)


def _obstacle(state: QueueState, standing: DeviceStanding) -> str:
    """Return what keeps a queue from printing, or nothing."""
    if not state.accepting:
        return "its queue takes no sheets"
    if standing.obstacle:
        return standing.obstacle
    if state.stopped:
        return "its queue is paused"
    if state.policy != POLICY:
        return f"its queue has the error policy {state.policy}; {POLICY} is needed, so that nothing prints twice"
    return ""


def _used_up(standing: DeviceStanding) -> str:
    """Return what the device itself says is used up, or nothing.

    A level that only the queue knows keeps no sheet: it is that of the last one, and stays until the next is printed,
    whatever was put in.
    """
    return f"{' and '.join(standing.used_up)} is used up" if standing.used_up else ""
