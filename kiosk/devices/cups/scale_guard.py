"""The guard of a queue's scale: the next ruler page, what was measured on it, and whether documents may print."""

from __future__ import annotations

import logging
from datetime import date

from kiosk.core.print_scale.proof import Proof, RulerPage, is_due, next_page, prove, refusal
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.print_scale.scale import Scale
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.kept import Proofs
from kiosk.devices.cups.options import QUALITY
from kiosk.devices.cups.set_up import Printing, SetUp, read_set_up
from kiosk.errors import PrinterFault, ScaleUnproven, UnreadableRuler
from kiosk.system.clock import Clock

_log = logging.getLogger(__name__)


class ScaleGuard:
    """The proof of scale of one queue with one paper at the quality of documents."""

    def __init__(self, queue: Queue, printing: Printing, scales: Proofs, clock: Clock) -> None:
        self._queue = queue
        self._printing = printing
        self._scales = scales
        self._clock = clock
        self._reminded: date | None = None

    def set_up(self) -> SetUp:
        """Return driver, medium and options as they are now; errors as `read_set_up`."""
        return read_set_up(self._queue, self._printing)

    def proof(self) -> Proof | None:
        """Return the latest proof of scale for this paper and quality."""
        return self._scales.get(self._queue.name, self._printing.medium.name, QUALITY)

    def page(self) -> RulerPage | None:
        """Return the ruler page printed last."""
        return self._scales.page(self._queue.name, self._printing.medium.name, QUALITY)

    def next_page(self) -> RulerPage:
        """Return the ruler page to print now; errors as `set_up`."""
        set_up = self.set_up()
        ruler = ruler_for(set_up.sheet_mm, self._printing.margins)
        if ruler is None:
            detail = f"the paper {self._printing.medium.short} is too small for a ruler page"
            raise PrinterFault(printer=self._queue.name, detail=detail)
        return next_page(self.proof(), self.page(), ruler, set_up.digest, self._clock.today())

    def note(self, page: RulerPage) -> None:
        """Keep a page that was printed, so that it may be measured; `CannotWrite` where it is not kept."""
        self._scales.put_page(self._queue.name, self._printing.medium.name, QUALITY, page)

    def record(self, found: Scale, *, typed: bool = False) -> Proof:
        """Keep what was measured on the ruler page printed last, and return the proof.

        Parameters
        ----------
        typed
            Whether these are readings of a ruler, which could be made up. They count once for each page: the error
            that is said of the first ones gives the true lengths away.

        Raises
        ------
        ScaleUnproven
            No ruler page was printed on it.
        UnreadableRuler
            Readings of a page that has been measured.
        CannotWrite
            The proof before still stands.
        """
        page = self.page()
        if page is None:
            raise ScaleUnproven(printer=self._queue.name, detail="no ruler page was printed on it")
        before = self.proof()
        if typed and before is not None and before.page == page.number:
            detail = f"page {page.number} has been measured, and is read once; print another, or scan it"
            raise UnreadableRuler(detail=detail)
        proof = prove(page, found)
        self._scales.put(self._queue.name, self._printing.medium.name, QUALITY, proof)
        return proof

    def proven(self, set_up: SetUp) -> Proof:
        """Return the proof that lets documents be printed with a set-up; `ScaleUnproven` where none does."""
        proof, today = self.proof(), self._clock.today()
        why = refusal(proof, set_up.digest, today)
        if why or proof is None:
            raise ScaleUnproven(printer=self._queue.name, detail=why)
        if is_due(proof, today) and self._reminded != today:
            self._reminded = today
            name, ends_on = self._queue.name, proof.ends_on
            _log.warning("%s: measure a ruler page again; documents are printed until %s", name, ends_on)
        return proof
