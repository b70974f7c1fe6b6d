"""All that has happened since the last turn of the frame loop, as events, and how the booth stands by it."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator

from kiosk.booth.command_runner import CommandRunner
from kiosk.booth.components import Components
from kiosk.booth.health.camera import CameraHealth
from kiosk.booth.health.closure import Closure
from kiosk.booth.health.light import LightHealth
from kiosk.booth.health.mains import MainsHealth
from kiosk.booth.health.out_of_order import OutOfOrder
from kiosk.booth.health.payment import PaymentHealth
from kiosk.booth.health.printer import PrinterHealth
from kiosk.booth.payment_tracker import PaymentTracker
from kiosk.booth.sheet_tracker import SheetTracker
from kiosk.booth.tally import Tally
from kiosk.core.attendant.status_lines import LAST_FAULTS, BoothStatus
from kiosk.core.session.events import CodesSeen, Event, Seen
from kiosk.core.session.state import Session
from kiosk.core.view.attendant import DeskIntent
from kiosk.devices.base import DeviceFailed, PrintStatus, StillTaken
from kiosk.pipeline.picture_jobs import CodesRead, Seeing, SeenPicture


class Poller:
    """Asks the devices, the worker and the desk, each of which works on its own; waits for none of them.

    Parameters
    ----------
    session
        Returns the session as it is now: it steps between two events.
    payment
        How the payment unit stands; `money` tells it.
    """

    def __init__(
        self,
        components: Components,
        session: Callable[[], Session],
        out_of_order: OutOfOrder,
        tally: Tally,
        sheets: SheetTracker,
        commands: CommandRunner,
        money: PaymentTracker | None,
        payment: PaymentHealth,
    ) -> None:
        self._components = components
        self._session = session
        self._tally = tally
        self._sheets = sheets
        self._commands = commands
        self._money = money
        self._payment = payment
        self._shut = Closure(components.shut, out_of_order)
        self._mains = MainsHealth(components.mains, out_of_order)
        self._light = LightHealth(components.light, out_of_order)
        self._camera = CameraHealth(components.camera, out_of_order, components.clock.now_s())
        self._printer = PrinterHealth(out_of_order)
        self._faults: deque[tuple[float, str]] = deque(maxlen=LAST_FAULTS)
        self._seen_sequence = -1

    def events(self) -> Iterator[Event | DeskIntent]:
        """Yield what has happened, in a fixed order of the devices, each event as late as it is asked for."""
        components = self._components
        yield from components.screen.intents()
        yield from self._shut.by_machine(self._session().state, components.clock.now_s())
        yield from self._mains.watched(self._session().state, components.clock.now_s())
        yield from self._light.watched(self._session().state)
        if components.desk is not None:
            yield from self._shut.by_desk(components.desk.desk, self._session().state)
        yield from self._camera_events()
        yield from self._print_events()
        if self._money is not None:
            yield from self._money.events()
            yield from self._payment.idle(self._session().state)
        if components.handing is not None:
            yield from components.handing.events(self._session())
        for ticket, outcome in components.worker.poll():
            yield from self._commands.ended(ticket, outcome, self._session())
        if components.badges:
            yield from components.badges.events()
            for answer in components.badges.answers():
                if components.desk is not None:
                    components.desk.hear(answer)
        looked = components.worker.seen()
        if looked is not None and looked[0] != self._seen_sequence:
            self._seen_sequence = looked[0]
            self._tally.pictures += 1
            yield from _sight(looked[1])

    def note_fault(self, sentence: str) -> None:
        """Keep a fault for the desk; one that comes again at once is kept once."""
        if self._faults and self._faults[0][1] == sentence:
            self._faults.popleft()
        self._faults.appendleft((self._components.clock.now_s(), sentence))

    def status(self) -> BoothStatus:
        """Return what is wrong with each device, and the last faults, for the desk."""
        return BoothStatus(
            camera=self._camera.trouble or self._light.trouble,
            camera_notices=self._camera.notices,
            printer=self._printer.trouble,
            printer_notice=self._printer.notice,
            payment=self._payment.trouble,
            ledger=self._tally.trouble_in_words,
            unsent_count=self._tally.unsent_count,
            paper=self._components.picture_jobs.layout.medium.short,
            faults=tuple(self._faults),
        )

    def _camera_events(self) -> Iterator[Event]:
        """Yield what the camera reports to the session; test shots go to the desk.

        Both take what comes under their own ticket alone.
        """
        now_s = self._components.clock.now_s()
        desk = self._components.desk
        for event in self._components.camera.poll():
            match event:
                case StillTaken(ticket, jpeg) if desk is not None:
                    desk.look_at(ticket, jpeg)
                case DeviceFailed(error, ticket):
                    self.note_fault(str(error))
                    if desk is not None and ticket is not None:
                        desk.test_shot_lost(ticket, str(error))
            yield from self._camera.heard(event, now_s)
        yield from self._camera.waited(now_s)

    def _print_events(self) -> Iterator[Event]:
        """Yield what the printer reports to the session; the outcome of a sheet also updates the counts."""
        components = self._components
        for status in components.prints.poll():
            is_sitters = False
            if isinstance(status, PrintStatus):
                is_sitters = status.key == self._commands.sheet_key
                self._sheets.moved(status)
                if components.badges:
                    components.badges.moved(status)
                if self._money is not None and status.state in ("done", "failed"):
                    yield from self._money.sheet_ended(status.key, printed=status.state == "done")
                if components.receipts is not None and status.state in ("done", "failed"):
                    components.receipts.sheet_ended(status.key, printed=status.state == "done")
            yield from self._printer.heard(status, is_sitters=is_sitters)
        yield from self._printer.idle(self._session().state)
        for sentence in components.receipts.faults() if components.receipts is not None else ():
            self.note_fault(sentence)


def _sight(seen: Seeing) -> Iterator[Event]:
    match seen:
        case SeenPicture(_, observation):
            yield Seen(observation)
        case CodesRead(_, codes) if codes:
            yield CodesSeen(codes)
