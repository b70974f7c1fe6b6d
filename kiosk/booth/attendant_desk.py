"""The attendant's desk at work: orders and PINs in, things to do out, and three threads for what takes time.

Checking a PIN takes tens of milliseconds of several processors, which it leaves to whoever else wants them; writing a
file may take longer; looking the booth over and at a test shot takes seconds. Neither happens in the frame loop's
thread, which only polls.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Protocol

from kiosk.core.attendant import guest_list, step
from kiosk.core.attendant.metrics_presenter import present_metrics
from kiosk.core.attendant.presenter import present_desk
from kiosk.core.attendant.state import (
    CheckPin,
    CheckReadiness,
    DeskCommand,
    DeskConfig,
    DeskTransition,
    GuestAnswer,
    Refuse,
    SaveDesk,
    TrialShot,
)
from kiosk.core.attendant.status_lines import BoothStatus
from kiosk.core.base.ticket import Ticket
from kiosk.core.session.bill import Bill
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.facts import SheetEnd
from kiosk.core.session.state import Session
from kiosk.core.view.attendant import DeskIntent, DeskView
from kiosk.core.view.finding import Finding
from kiosk.core.view.kept_sheet import KeptSheet
from kiosk.core.view.metrics import Counts, Metrics
from kiosk.errors import KioskError
from kiosk.page.messages import PinAnswer, PinAsked
from kiosk.store.desk_memory import DeskMemory, recalled, remembered
from kiosk.system.children import give_way
from kiosk.system.clock import Clock
from kiosk.system.pin_hash import is_pin


class Page(Protocol):
    """The attendant's page, as the desk uses it; nothing of it waits."""

    @property
    def trouble(self) -> str:
        """Why it does not answer, as a sentence; empty where it does."""
        ...

    def publish(self, view: DeskView, metrics: Callable[[], Metrics]) -> None:
        """Show how things stand; `metrics` is called if a monitoring server asks."""
        ...

    def answer(self, asker: str, answer: PinAnswer) -> None:
        """Answer a PIN."""
        ...

    def poll(self) -> list[PinAsked | DeskIntent]:
        """Return the PINs and orders since the last call."""
        ...


@dataclass(frozen=True)
class DeskComponents:
    """What the desk works with.

    Attributes
    ----------
    survey
        Looks the booth over; may take seconds.
    look_at
        Looks at a test shot; may take seconds.
    page
        The attendant's page, where there is one.
    """

    desk_config: DeskConfig
    pin_hash: str
    memory: DeskMemory
    clock: Clock
    survey: Callable[[], Sequence[Finding]]
    look_at: Callable[[bytes], TrialShot]
    page: Page | None = None


class AttendantDesk:
    """The desk of one booth, for the frame loop's thread alone."""

    def __init__(self, components: DeskComponents) -> None:
        self._components = components
        components.memory.tidy()
        self.desk = recalled(components.memory.get(), components.clock.now_s())
        self._findings: tuple[Finding, ...] | None = None
        self._quick = ThreadPoolExecutor(1, "attendant")
        self._hasher = ThreadPoolExecutor(1, "PIN", give_way)
        self._slow = ThreadPoolExecutor(1, "survey")
        self._waiting: list[tuple[Future[Any], Callable[[Future[Any]], DeskTransition]]] = []

    @property
    def is_open(self) -> bool:
        """Whether it is shown in place of the sitter's screens."""
        return self.desk.page != "closed"

    @property
    def is_busy(self) -> bool:
        """Whether its threads have something to do."""
        return bool(self._waiting)

    def take(self, order: DeskIntent, session: Session) -> list[DeskCommand]:
        """Take an order from the booth's screen; return what the loop is to do."""
        components = self._components
        return self._after(step.attend(self.desk, order, session, components.clock.now_s(), components.desk_config))

    def poll(self, session: Session) -> list[DeskCommand]:
        """Take in what the threads have done and the page has asked; return what the loop is to do."""
        self.desk = step.close_if_idle(self.desk, self._components.clock.now_s(), self._components.desk_config)
        ended = [pair for pair in self._waiting if pair[0].done()]
        self._waiting = [pair for pair in self._waiting if pair not in ended]
        done = [do for future, then in ended for do in self._after(then(future))]
        return done + self._asked_on_page(session)

    def offer(self, kept: tuple[KeptSheet, ...], owed: tuple[Bill, ...] = ()) -> None:
        """Take over which sheets may be printed again, and whose money is to be paid out."""
        self.desk = replace(self.desk, kept=kept, owed=owed)

    def settle(self, how_it_ended: Callable[[str], SheetEnd]) -> None:
        """Count the sheets that were on their way when the booth stopped, by what is known of each job's end."""
        for key, _ in self.desk.on_their_way:
            self.ended(key, printed=how_it_ended(key) == "printed")

    def sent(self, key: str, sheets: int) -> None:
        """Note a print job that is about to be sent, with its sheets of the paper that is counted."""
        self._after(step.sent(self.desk, key, sheets))

    def ended(self, key: str, *, printed: bool) -> None:
        """Count the sheets of a print job that have come out."""
        self._after(step.ended(self.desk, key, printed=printed))

    def flush(self, limit_s: float = 2.0) -> None:
        """Wait up to `limit_s` until all that was to be remembered is on disk; for threads that may wait."""
        wait([self._quick.submit(lambda: None)], limit_s)

    def look_at(self, ticket: Ticket, jpeg: bytes) -> None:
        """Take the picture of the test shot that is waited for; any other is left alone."""
        if self.desk.awaits(ticket):
            looking = self._slow.submit(self._components.look_at, jpeg)
            self._waiting.append((looking, partial(self._shot_seen, ticket)))

    def test_shot_lost(self, ticket: Ticket, sentence: str) -> None:
        """Say why the test shot that is waited for did not come."""
        if self.desk.awaits(ticket):
            self.desk = replace(self.desk, is_testing=False, notice=sentence)

    def hear(self, answer: GuestAnswer) -> None:
        """Take what the roster has answered."""
        self.desk = guest_list.answered(self.desk, answer)

    def view(self, session: Session, config: BoothConfig, standing: BoothStatus) -> DeskView:
        """Return what is shown."""
        page = self._components.page
        known = replace(standing, findings=self._findings, page=page.trouble if page is not None else "")
        return present_desk(
            self.desk, session, config, known, self._components.clock.now_s(), self._components.desk_config
        )

    def publish(
        self, session: Session, config: BoothConfig, standing: BoothStatus, counts: Callable[[], Counts]
    ) -> None:
        """Tell the page how things stand, and a monitoring server what `counts` returns."""
        components = self._components

        def metrics() -> Metrics:
            now_s = components.clock.now_s()
            return present_metrics(self.desk, session, config, standing, now_s, components.desk_config, counts())

        if components.page is not None:
            components.page.publish(self.view(session, config, standing), metrics)

    def close(self) -> None:
        """End the threads when they have done what they have begun."""
        for pool in (self._quick, self._hasher, self._slow):
            pool.shutdown(cancel_futures=pool is self._slow)

    def _after(self, outcome: DeskTransition) -> list[DeskCommand]:
        """Do what is the desk's own, and return the rest."""
        self.desk, wanted = outcome
        rest: list[DeskCommand] = []
        for each in wanted:
            match each:
                case Refuse(asker):
                    self._answer(asker, "refused")
                case CheckPin(asker, pin):
                    check = self._quick.submit(self._is_pin, pin)
                    self._waiting.append((check, partial(self._pin_checked, asker)))
                case SaveDesk():
                    self._quick.submit(self._components.memory.put, remembered(self.desk))
                case CheckReadiness():
                    self._waiting.append((self._slow.submit(self._components.survey), self._surveyed))
                case _:
                    rest.append(each)
        return rest

    def _is_pin(self, pin: str) -> bool:
        """Return whether a PIN is right, when what was to be written before has been written."""
        return self._hasher.submit(is_pin, pin, self._components.pin_hash).result()

    def _pin_checked(self, asker: str, check: Future[bool]) -> DeskTransition:
        right = check.result()
        self._answer(asker, "right" if right else "wrong")
        return step.checked(self.desk, asker, self._components.clock.now_s(), right=right)

    def _asked_on_page(self, session: Session) -> list[DeskCommand]:
        if self._components.page is None:
            return []
        done: list[DeskCommand] = []
        for asked in self._components.page.poll():
            if isinstance(asked, DeskIntent):
                done += self._after(step.act_from_page(self.desk, asked, session))
            else:
                now_s = self._components.clock.now_s()
                done += self._after(step.ask(self.desk, asked.asker, asked.pin, now_s))
        return done

    def _answer(self, asker: str, answer: PinAnswer) -> None:
        if self._components.page is not None:
            self._components.page.answer(asker, answer)

    def _surveyed(self, survey: Future[Sequence[Finding]]) -> DeskTransition:
        """Show what the look over the booth found, or why it could not be looked over."""
        try:
            self._findings = tuple(survey.result())
        except KioskError as error:
            self._findings = (Finding("survey", "", "", False, str(error), error.advice, "program", stops=True),)
        return self.desk, ()

    def _shot_seen(self, ticket: Ticket, shot: Future[TrialShot]) -> DeskTransition:
        """Show the results of a test shot, unless nobody waits for it any more."""
        if not self.desk.awaits(ticket):
            return self.desk, ()
        try:
            return replace(self.desk, is_testing=False, shot=shot.result()), ()
        except KioskError as error:
            return replace(self.desk, is_testing=False, notice=str(error)), ()
