"""The frame loop: thirty times a second, what has happened goes into the session and its commands go to the devices.

Events first, then the step, then the picture. The loop waits for nothing: the camera lives in a process, looking and
rendering in the vision worker's thread, printing in the print queue's thread; all of them are polled.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable

from kiosk.booth.command_runner import CommandRunner
from kiosk.booth.components import Components
from kiosk.booth.health.out_of_order import OutOfOrder
from kiosk.booth.health.payment import PaymentHealth
from kiosk.booth.payment_tracker import PaymentTracker
from kiosk.booth.poller import Poller
from kiosk.booth.sheet_tracker import SheetTracker
from kiosk.booth.tally import Tally
from kiosk.core.attendant.state import (
    DeskCommand,
    EndProgram,
    Record,
    Reprint,
    SaveGuest,
    SearchGuests,
    Settle,
    TakeTestShot,
    TellSession,
)
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.events import Event, Failed, Tick
from kiosk.core.session.presenter import present
from kiosk.core.session.print_choice import offering, papers_of
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.session.step_facts import facts_of
from kiosk.core.view.attendant import DeskIntent, DeskView
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView, State

TICK_S = 1 / 30

AT_REST: tuple[State, ...] = ("welcome", "out_of_order")
"""The states in which no sitter's picture is left."""

_log = logging.getLogger(__name__)


class Loop:
    """One booth at work."""

    def __init__(self, config: BoothConfig, components: Components) -> None:
        now_s = components.clock.now_s()
        self.session = Session(since_s=now_s, active_s=now_s, language=config.languages[0])
        self._house = config
        self._components = components
        self._heard = ""
        self._tally = Tally(components.ledger)
        self._sheets = SheetTracker(
            components.prints,
            self._tally,
            components.kept,
            components.picture_jobs.layout.medium.name,
            components.desk,
        )
        self._out_of_order = OutOfOrder()
        payment = PaymentHealth(self._out_of_order)
        self._money = (
            PaymentTracker(components.cashier, self._tally, components.left_open, payment)
            if components.cashier is not None
            else None
        )
        self._commands = CommandRunner(components, self._sheets, self._out_of_order, self._money)
        self._poller = Poller(
            components,
            lambda: self.session,
            self._out_of_order,
            self._tally,
            self._sheets,
            self._commands,
            self._money,
            payment,
        )
        self.has_ended = False
        self.view = self._present()

    def run(self, go_on: Callable[[], bool]) -> None:
        """Tick while `go_on` returns true, until the window is closed or the attendant ends the program."""
        clock = self._components.clock
        while go_on() and not (self._components.screen.closed or self.has_ended):
            began_s = clock.now_s()
            self.tick()
            clock.sleep(max(0.0, TICK_S - (clock.now_s() - began_s)))

    @property
    def is_free(self) -> bool:
        """Whether nothing is lost if the program ends now: no sitter, no print on its way, and nobody at the desk."""
        desk, badges = self._components.desk, self._components.badges
        at_desk = desk is not None and (desk.is_open or desk.is_busy)
        printing = self._sheets.are_on_their_way or (badges is not None and badges.are_on_their_way)
        return self.session.state in AT_REST and not printing and not at_desk

    def tick(self) -> None:
        """Take in what has happened, step, and show the result."""
        self._tally.frames += 1
        for event in self._poller.events():
            if isinstance(event, DeskIntent):
                self._order(event)
            else:
                self._step(event)
        kept = self._sheets.offered()
        if self._components.desk is not None:
            self._components.desk.offer(kept, self._money.owed() if self._money is not None else ())
            self._do(self._components.desk.poll(self.session))
            self._components.desk.publish(self.session, self._house, self._poller.status(), self._tally.counts)
        self._step(Tick())
        self.view = self._present()
        self._say(self.view.align.instruction)
        looked = self._components.worker.seen() if self.session.state in ("align", "find") else None
        self._components.screen.show(self.view, looked[1].rgb if looked else None)
        if self._components.heartbeat is not None:
            self._components.heartbeat.beat(self.session.state)

    def _order(self, order: DeskIntent) -> None:
        if self._components.desk is not None:
            self._do(self._components.desk.take(order, self.session))
            self._step(Intent("more_time"))

    def _do(self, wanted: Iterable[DeskCommand]) -> None:
        for each in wanted:
            match each:
                case TellSession(event):
                    self._step(event)
                case Record(fact):
                    self._tally.put(fact)
                case TakeTestShot(ticket):
                    self._components.camera.shoot(ticket)
                case Reprint(key):
                    self._sheets.send_again(key)
                case Settle(bill) if self._money is not None:
                    self._money.settle(bill)
                case SearchGuests(query) if self._components.badges:
                    self._components.badges.desk.search_guests(query)
                case SaveGuest() if self._components.badges:
                    self._components.badges.desk.save_guest(each)
                case EndProgram():
                    _log.info("the attendant ends the program")
                    self.has_ended = True

    def _step(self, event: Event) -> None:
        before = self.session
        if isinstance(event, Failed):
            self._poller.note_fault(event.sentence)
        self.session, commands = step(before, event, self._components.clock.now_s(), self._offering)
        if self.session.state != before.state:
            _log.info("%s -> %s", before.state, self.session.state)
        for command in commands:
            self._commands.run(command, self.session)
        for fact in facts_of(before, event, self.session, commands):
            self._tally.put(fact)

    @property
    def _offering(self) -> BoothConfig:
        return offering(self._house, self._components.desk.desk.sheets if self._components.desk else None)

    def _desk_view(self) -> DeskView | None:
        desk = self._components.desk
        return (
            desk.view(self.session, self._house, self._poller.status()) if desk is not None and desk.is_open else None
        )

    def _present(self) -> SessionView:
        picture_jobs, session, document = self._components.picture_jobs, self.session, self.session.document
        layout = picture_jobs.layout_on(session.paper)
        papers = papers_of(session, self._house) if session.state == "copies" and document else ()
        marked = session.still is not None and session.still.accepted

        def photos_on(name: str) -> int:
            return len(picture_jobs.layout_on(name).impose(document, marked=marked).photos) if document else 0

        return present(
            session,
            self._offering,
            self._components.clock.now_s(),
            simulated=picture_jobs.simulated or (self._money is not None and self._money.simulated),
            copies=photos_on(session.paper),
            paper=layout.medium.short,
            photos_on={name: photos_on(name) for name in papers},
            sheet=layout.impose(document, marked=marked) if document and session.state == "copies" else None,
            desk=self._desk_view(),
        )

    def _say(self, instruction: str) -> None:
        if self._components.hear is not None and instruction != self._heard:
            self._heard = instruction
            self._components.hear(instruction)
