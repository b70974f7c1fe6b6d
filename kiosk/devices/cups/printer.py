"""A printer behind CUPS: refuses what would not be true to scale, prints a sheet once, and leaves nothing behind."""

from __future__ import annotations

import contextlib
import logging
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from kiosk.core.base.geometry import Size
from kiosk.core.print_scale.print_journal import Entry
from kiosk.core.print_scale.proof import Proof, RulerPage, is_due, next_page, prove, refusal
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.print_scale.scale import Counter, Scale
from kiosk.core.session.facts import SheetEnd
from kiosk.core.sheet.imposition import Margins, Medium
from kiosk.core.sheet.media import medium
from kiosk.devices.base import PrinterStanding, PrintJob
from kiosk.devices.cups.connection import Queue, QueueState
from kiosk.devices.cups.device import Device
from kiosk.devices.cups.fitted import fit_sheet, pages_in
from kiosk.devices.cups.hints import reason_of
from kiosk.devices.cups.job import PATIENCE_S, POLL_S, watch, witness_of
from kiosk.devices.cups.kept import Journal, Proofs
from kiosk.devices.cups.media import QueueDriver, QueueMedium, choose_medium
from kiosk.devices.cups.options import QUALITY, set_up_of, sheet_options
from kiosk.errors import CannotWrite, PrinterFault, ScaleUnproven, SheetUnknown
from kiosk.system.clock import Clock

LIMIT_S = 300.0
"""The longest that a sheet may take; a photo printer takes 10 to 60 s (practice of the trade)."""
POLICY = "stop-printer"
"""The error policy of the queue: every other one prints again by itself, or gives sheets up in silence."""
_REACH_MM = 0.05

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Printing:
    """How a booth prints: the paper, whether without borders, and the driver's options from the printer's profile."""

    medium: Medium
    margins: Margins
    borderless: bool = False
    options: Mapping[str, str] = field(default_factory=dict)
    limit_s: float = LIMIT_S
    patience_s: float = PATIENCE_S


@dataclass(frozen=True, slots=True)
class SetUp:
    """What a sheet would be printed with now; `digest` is the fingerprint of it all."""

    driver: QueueDriver
    medium: QueueMedium
    digest: str


class CupsPrinter:
    """One queue; `print_sheet` blocks until the sheet's end is known.

    Its first turn purges what a crash has left with the print server; the journal calls such a sheet unknown.
    """

    def __init__(self, queue: Queue, printing: Printing, scales: Proofs, jobs: Journal, clock: Clock) -> None:
        self._queue = queue
        self._printing = printing
        self._scales = scales
        self._jobs = jobs
        self._clock = clock
        self._purged = False
        self._reminded: date | None = None

    @property
    def name(self) -> str:
        """The queue."""
        return self._queue.name

    @property
    def medium(self) -> Medium:
        """The paper in it."""
        return self._printing.medium

    def check(self) -> None:
        """Return where a document could be printed now.

        Raises
        ------
        PrinterFault
            The server, queue or printer could not; a `ScaleUnproven` where the scale does not let it.
        """
        self._proven(self._could_print())

    def standing(self) -> PrinterStanding:
        """Return how it stands, for a check before the booth opens; raises nothing of a printer's."""
        proof, today = self.proof(), self._clock.today()
        obstacle = next_step = ""
        set_up = proof.set_up if proof is not None else ""
        try:
            set_up = self._could_print().digest
        except PrinterFault as fault:
            obstacle, next_step = str(fault), fault.advice
        why = refusal(proof, set_up, today)
        unproven = ScaleUnproven(printer=self.name, detail=why)
        return PrinterStanding(
            self.name,
            self._printing.medium.name,
            obstacle,
            str(unproven) if why else "",
            next_step or (unproven.advice if why else ""),
            proof.measured_on if proof is not None else None,
            proof.found.error if proof is not None else None,
            proof is not None and is_due(proof, today),
        )

    def set_up(self) -> SetUp:
        """Return driver, medium and options as they are now.

        Raises
        ------
        PrinterFault
            The queue has no such medium, or cannot reach as near to its edges as the sheet is laid out.
        """
        wanted, driver = self._printing, self._queue.driver()
        size_mm = _upright(wanted.medium.size_mm)
        found = choose_medium(driver.media, size_mm, borderless=wanted.borderless)
        if found is None:
            raise self._fault(f"it has no paper of {size_mm.width:.1f} x {size_mm.height:.1f} mm")
        for side in ("left", "top", "right", "bottom"):
            needed_mm, set_mm = (getattr(margins, f"{side}_mm") for margins in (found.margins, wanted.margins))
            if set_mm < needed_mm - _REACH_MM:
                raise self._fault(
                    f"it leaves {needed_mm:.1f} mm free on the {side} and the sheet is laid out for {set_mm:.1f} mm"
                )
        return SetUp(driver, found, set_up_of(driver, found, wanted.options))

    def proof(self) -> Proof | None:
        """Return the latest proof of scale for this paper and quality."""
        return self._scales.get(self.name, self._printing.medium.name, QUALITY)

    def page(self) -> RulerPage | None:
        """Return the ruler page printed last."""
        return self._scales.page(self.name, self._printing.medium.name, QUALITY)

    def next_page(self) -> RulerPage:
        """Return the ruler page to print now; errors as `set_up`."""
        set_up = self.set_up()
        ruler = ruler_for(set_up.medium.size_mm, self._printing.margins)
        if ruler is None:
            raise self._fault(f"the paper {self._printing.medium.short} is too small for a ruler page")
        return next_page(self.proof(), self.page(), ruler, set_up.digest, self._clock.today())

    def record(self, found: Scale) -> Proof:
        """Keep what was measured on the ruler page printed last, and return the proof.

        Raises
        ------
        ScaleUnproven
            No ruler page was printed on it.
        CannotWrite
            The proof before still stands.
        """
        page = self.page()
        if page is None:
            raise ScaleUnproven(printer=self.name, detail="no ruler page was printed on it")
        proof = prove(page, found, self._clock.today())
        self._scales.put(self.name, self._printing.medium.name, QUALITY, proof)
        return proof

    def print_sheet(self, job: PrintJob) -> str:
        """Print a sheet of documents and return the queue and the job's number.

        Raises
        ------
        ScaleUnproven
            The scale was never measured, is off by more than 0.5 %, was measured too long ago, or something has
            changed since.
        SheetUnknown
            Nobody can tell whether it came out; this key is never sent again.
        PrinterFault
            It was not printed, and why.
        """
        with self._alone():
            before = self._before(job.key)
            if before:
                return before
            set_up = self._ready()
            proof = self._proven(set_up)
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
        with self._alone():
            set_up = self._ready()
            try:
                place = self._print(job, set_up, page.sent.counter(set_up.medium.size_mm))
            except SheetUnknown:
                self._note(page)
                raise
            self._note(page)
            return place

    def _note(self, page: RulerPage) -> None:
        self._scales.put_page(self.name, self._printing.medium.name, QUALITY, page)

    def how_it_ended(self, key: str) -> SheetEnd:
        """Return what the journal says of a sheet; one that it never heard of was not printed."""
        try:
            entry = self._jobs.get(key)
        except CannotWrite:
            return "unknown"
        if entry is None:
            return "not_printed"
        return entry.state if entry.state in ("printed", "not_printed") else "unknown"

    def _before(self, key: str) -> str:
        """Return where a key went that was printed, or nothing where it may be sent."""
        with self._told("read"):
            entry = self._jobs.get(key)
        if entry is None or entry.state == "not_printed":
            return ""
        if entry.state == "printed":
            return _place(entry)
        raise SheetUnknown(printer=self.name, detail="the booth stopped while the sheet was with the printer")

    def _could_print(self) -> SetUp:
        """Return what a sheet would be printed with, where one could be printed at all."""
        with contextlib.ExitStack() as turn:
            with self._told("written"):
                alone = turn.enter_context(self._jobs.turn())
            return self._ready(purge=alone)

    @contextlib.contextmanager
    def _alone(self) -> Iterator[None]:
        """Wait until no other program has a sheet in flight."""
        end_s = self._clock.now_s() + self._printing.limit_s
        while True:
            with contextlib.ExitStack() as turn:
                with self._told("written"):
                    alone = turn.enter_context(self._jobs.turn())
                if alone:
                    yield
                    return
            if self._clock.now_s() > end_s:
                raise self._fault("another program is printing on it")
            self._clock.sleep(POLL_S)

    def _ready(self, *, purge: bool = True) -> SetUp:
        """Check queue and device, and once after the start remove what an earlier run has left."""
        if purge and not self._purged:
            for number in self._queue.leftovers():
                self._queue.remove(number)
            self._purged = True
        state = self._queue.state()
        device = self._queue.device(state.device_uri)
        obstacle = _obstacle(state, device)
        if obstacle:
            raise self._fault(obstacle)
        set_up = self.set_up()
        taken, made = device.formats() if device is not None else (), set_up.driver.formats
        if taken and made and not set(taken) & set(made):
            raise self._fault(
                f"it takes {', '.join(taken)} and its queue makes {', '.join(made)}; set the queue up anew"
            )
        return set_up

    def _proven(self, set_up: SetUp) -> Proof:
        proof, today = self.proof(), self._clock.today()
        why = refusal(proof, set_up.digest, today)
        if why or proof is None:
            raise ScaleUnproven(printer=self.name, detail=why)
        if is_due(proof, today) and self._reminded != today:
            self._reminded = today
            _log.warning("%s: measure a ruler page again; documents are printed until %s", self.name, proof.ends_on)
        return proof

    def _print(self, job: PrintJob, set_up: SetUp, counter: Counter) -> str:
        """Write the journal before every step that cannot be taken back."""
        printing = self._printing
        try:
            pdf = fit_sheet(job.pdf, set_up.medium.size_mm, counter, set_up.driver.dpi)
        except PrinterFault as fault:
            raise self._fault(str(fault.params["detail"])) from fault
        entry = Entry(job.key, "sending", self.name)
        self._write(entry)
        with_back = set_up.driver.is_duplex and pages_in(pdf) > 1
        options = sheet_options(set_up.medium, job.copies, printing.limit_s, printing.options, with_back=with_back)
        try:
            entry = replace(entry, number=self._queue.create(options))
        except PrinterFault:
            self._write(replace(entry, state="not_printed"))
            raise
        witness = witness_of(self._queue.device(self._queue.state().device_uri))
        entry = self._send(entry, pdf)
        ended = watch(self._queue, entry.number, self._clock, printing.limit_s, printing.patience_s, witness)
        self._write(replace(entry, state=ended.end))
        if ended.end == "unknown":
            self._purged = False
            raise SheetUnknown(printer=self.name, detail=ended.detail)
        if ended.end == "not_printed":
            raise self._fault(ended.detail)
        return _place(entry)

    def _send(self, entry: Entry, pdf: bytes) -> Entry:
        """Give the job its document; one that did not arrive whole is taken back at once."""
        sent = replace(entry, state="sent")
        try:
            self._write(sent)
            self._queue.send(entry.number, pdf)
        except PrinterFault:
            self._queue.remove(entry.number)
            self._write(replace(entry, state="unknown"))
            raise
        return sent

    def _write(self, entry: Entry) -> None:
        with self._told("written"):
            self._jobs.put(entry)

    @contextlib.contextmanager
    def _told(self, done: str) -> Iterator[None]:
        """Turn an error of the journal into a fault of the printer."""
        try:
            yield
        except CannotWrite as error:
            detail = f"the journal of jobs cannot be {done} ({error.params['detail']})"
            raise self._fault(detail) from error

    def _fault(self, detail: str) -> PrinterFault:
        return PrinterFault(printer=self.name, detail=detail)


def _obstacle(state: QueueState, device: Device | None) -> str:
    """Return what keeps a queue from printing, or nothing."""
    if not state.accepting:
        return "its queue takes no sheets"
    obstacle = reason_of(device.reasons()) if device is not None else ""
    if obstacle:
        return obstacle
    if state.stopped:
        return "its queue is paused"
    if state.policy != POLICY:
        return f"its queue has the error policy {state.policy}; {POLICY} is needed, so that nothing prints twice"
    return ""


def _place(entry: Entry) -> str:
    return f"{entry.printer}, job {entry.number}"


def _upright(size_mm: Size) -> Size:
    return size_mm if size_mm.width <= size_mm.height else size_mm.turned()
