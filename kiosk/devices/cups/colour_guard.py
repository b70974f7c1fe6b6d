"""The guard of a queue's colour: the next colour page, what was measured on it, and whether its colour is proven."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from kiosk.core.print_colour.chart import chart_for
from kiosk.core.print_colour.judging import judged
from kiosk.core.print_colour.proof import ColourPage, ColourProof, is_due, prove, refusal
from kiosk.core.print_colour.reading import Reading
from kiosk.devices.base import ColourStanding
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.kept import Proofs
from kiosk.devices.cups.options import QUALITY
from kiosk.devices.cups.set_up import Printing, SetUp, read_set_up
from kiosk.errors import ColourUnproven, PrinterFault, UnreadableColours
from kiosk.system.clock import Clock


class ColourGuard:
    """The proof of colour of one queue with one paper at the quality of documents, through the queue's profile."""

    def __init__(self, queue: Queue, printing: Printing, proofs: Proofs, clock: Clock) -> None:
        self._queue = queue
        self._printing = printing
        self._proofs = proofs
        self._clock = clock

    def proof(self) -> ColourProof | None:
        """Return the latest proof of colour for this paper and quality."""
        return self._proofs.colour(self._queue.name, self._printing.medium.name, QUALITY)

    def page(self) -> ColourPage | None:
        """Return the colour page printed last."""
        return self._proofs.colour_page(self._queue.name, self._printing.medium.name, QUALITY)

    def next_page(self) -> ColourPage:
        """Return the colour page to print now; errors as `read_set_up`."""
        set_up, last = read_set_up(self._queue, self._printing), self.page()
        number = last.chart.number + 1 if last is not None else 1
        chart = chart_for(set_up.medium.size_mm, self._printing.margins, number, self._queue.name)
        if chart is None:
            detail = f"the paper {self._printing.medium.short} is too small for a colour page"
            raise PrinterFault(printer=self._queue.name, detail=detail)
        return ColourPage(chart, self.digest(set_up), self._clock.today())

    def note(self, page: ColourPage) -> None:
        """Keep a page that was printed, so that it may be measured; `CannotWrite` where it is not kept."""
        self._proofs.put_colour_page(self._queue.name, self._printing.medium.name, QUALITY, page)

    def record(self, readings: Mapping[str, Reading], *, typed: bool = False) -> ColourProof:
        """Keep what was measured on the colour page printed last, and return the proof.

        Parameters
        ----------
        typed
            Whether these are readings of an instrument, which could be made up. They count once for each page.

        Raises
        ------
        ColourUnproven
            No colour page was printed on it.
        UnreadableColours
            Greys are missing or are another page's, or these are readings of a page that has been measured.
        CannotWrite
            The proof before still stands.
        """
        page, before = self.page(), self.proof()
        if page is None:
            raise ColourUnproven(printer=self._queue.name, detail="no colour page was printed on it")
        number = page.chart.number
        if typed and before is not None and before.page == number:
            raise UnreadableColours(detail=f"page {number} has been measured, and is typed in once; print another")
        proof = prove(page, judged(page.chart, readings), before)
        self._proofs.put_colour(self._queue.name, self._printing.medium.name, QUALITY, proof)
        return proof

    def digest(self, set_up: SetUp) -> str:
        """Return the fingerprint of a set-up with the profile."""
        colours = self._printing.colours
        profile = colours.digest if colours is not None else ""
        return hashlib.sha256(f"{set_up.digest} {profile}".encode()).hexdigest()[:16]

    def demand(self, set_up: SetUp | None) -> str:
        """Return why no documents may be printed, or nothing where they may or no proof is needed.

        `set_up` is None where it is not known; the proof is then judged by itself.
        """
        return self._refusal(set_up) if self._printing.needs_colour_proof else ""

    def check(self, set_up: SetUp) -> None:
        """Return where documents may be printed with a set-up; `ColourUnproven` where they may not."""
        if why := self.demand(set_up):
            raise ColourUnproven(printer=self._queue.name, detail=why)

    def standing(self, set_up: SetUp | None) -> ColourStanding | None:
        """Return how the last measured page stands, or None; `set_up` as for `demand`."""
        proof = self.proof()
        if proof is None:
            return None
        cast, tone, due = proof.found.cast, proof.found.tone, is_due(proof, self._clock.today())
        return ColourStanding(proof.printed_on, cast.error, tone.error, self._refusal(set_up), due, proof.drift)

    def _refusal(self, set_up: SetUp | None) -> str:
        proof = self.proof()
        known = proof.set_up if proof is not None and set_up is None else ""
        return refusal(proof, self.digest(set_up) if set_up is not None else known, self._clock.today())
