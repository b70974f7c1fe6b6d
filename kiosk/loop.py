"""The frame loop: thirty times a second, what has happened goes into the session and its commands go to the devices.

Events first, then the step, then the picture. The loop waits for nothing: the camera lives in a process, looking and
rendering in the vision worker's thread, printing in the print queue's thread; all of them are polled.
"""

from __future__ import annotations

import logging
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime, timedelta
from functools import partial

from kiosk.core.account import facts_of
from kiosk.core.desk import Do, End, Note, Reprint, SaveGuest, SearchGuests, TakeTestShot, Tell
from kiosk.core.desk_present import LAST_FAULTS, Standing
from kiosk.core.desk_view import DeskView, Order
from kiosk.core.events import (
    CodesSeen,
    Command,
    Drop,
    Event,
    Failed,
    Find,
    Look,
    LookUp,
    Measure,
    Measured,
    Mended,
    Print,
    PrintBadge,
    PrintMoved,
    ReadCodes,
    Seen,
    Shoot,
    ShotArrived,
    ShotFailed,
    Still,
    Tick,
    Ticket,
    Wipe,
)
from kiosk.core.present import present
from kiosk.core.session import step
from kiosk.core.sheets import offering, papers_of
from kiosk.core.view import Intent, SessionView
from kiosk.core.visit import House, Session
from kiosk.devices.base import (
    DeviceFailed,
    DeviceNotice,
    DeviceReady,
    PrinterEvent,
    PrintJob,
    StillTaken,
)
from kiosk.errors import CameraFault, KioskError
from kiosk.parts import Parts
from kiosk.pipeline import BadgeMade, CodesRead, Looked, Outcome, Seeing, SheetMade
from kiosk.sheets_due import SheetsDue

TICK_S = 1 / 30
CAMERA_GRACE_S = 4.0
"""How long a sitter waits for the camera to come back before the booth says that it is out of order."""
SHUT_CHECK_S = 30.0
"""How often the booth is asked whether something keeps it shut, while no sitter is there."""
REFUSED_SHOTS = 3
"""How many shots a camera that answers may refuse in a row before the booth says that it is out of order."""
REFUSED_REST_S = 30.0
"""How long the booth then rests before it lets the next sitter try."""
_STILL = "still-{}.jpg"
_UNSEATED = ("welcome", "choose", "prepare", "privacy", "out_of_order")

_log = logging.getLogger(__name__)


class Loop:
    """One booth at work."""

    def __init__(self, house: House, parts: Parts) -> None:
        now_s = parts.clock.now_s()
        self._house = house
        self._parts = parts
        self._seen_sequence = -1
        self._heard = ""
        self._job_key = ""
        self._sheets = SheetsDue(parts.prints, parts.ledger, parts.kept, parts.bench.layout.medium.name)
        self._camera_down_s: float | None = now_s
        self._camera_error: KioskError = CameraFault(detail="no picture has come")
        self._camera_notice = ""
        self._camera_blamed = False
        self._printer_blamed = False
        self._booth_blamed = False
        self._desk_blamed = False
        self._faults: deque[tuple[float, str]] = deque(maxlen=LAST_FAULTS)
        self.has_ended = False
        self._shut_asked_s: float | None = None
        self._printer_error: KioskError | None = None
        self._refused_shots = 0
        self._refused_s = now_s
        self.session = Session(since_s=now_s, active_s=now_s, language=house.languages[0])
        self.view = self._present()

    def run(self, go_on: Callable[[], bool]) -> None:
        """Tick until told not to go on, until the window is closed, or until the attendant ends the program."""
        clock = self._parts.clock
        while go_on() and not (self._parts.screen.closed or self.has_ended):
            began_s = clock.now_s()
            self.tick()
            clock.sleep(max(0.0, TICK_S - (clock.now_s() - began_s)))

    def tick(self) -> None:
        """Take in what has happened, step, and show the result."""
        for event in self._events():
            if isinstance(event, Order):
                self._order(event)
            else:
                self._step(event)
        kept = self._sheets.offered()
        if self._parts.desk is not None:
            self._parts.desk.offer(kept)
            self._do(self._parts.desk.poll(self.session))
            self._parts.desk.publish(self.session, self._house, self._standing())
        self._step(Tick())
        self.view = self._present()
        self._say(self.view.instruction)
        looked = self._parts.worker.seen() if self.session.state in ("align", "find") else None
        self._parts.screen.show(self.view, looked[1].rgb if looked else None)
        if self._parts.heart is not None:
            self._parts.heart.beat(self.session.state)

    def _events(self) -> Iterator[Event | Order]:
        parts = self._parts
        yield from parts.screen.intents()
        yield from self._shut_events()
        yield from self._desk_events()
        yield from self._camera_events()
        for status in parts.prints.poll():
            yield from self._print_event(status)
        yield from self._printer_trouble()
        for ticket, outcome in parts.worker.poll():
            yield from self._outcome(ticket, outcome)
        if parts.badges:
            yield from parts.badges.events()
            for answer in parts.badges.answers():
                if parts.desk is not None:
                    parts.desk.hear(answer)
        looked = parts.worker.seen()
        if looked is not None and looked[0] != self._seen_sequence:
            self._seen_sequence = looked[0]
            yield from _sight(looked[1])

    def _shut_events(self) -> Iterator[Event]:
        """Keep the booth shut while the machine under it would harm a sitter's photo; never with a sitter in it."""
        now_s = self._parts.clock.now_s()
        rested = self._shut_asked_s is None or now_s - self._shut_asked_s >= SHUT_CHECK_S
        if not rested or self.session.state not in ("welcome", "out_of_order"):
            return
        self._shut_asked_s = now_s
        why = self._parts.shut()
        if why is not None and not self._booth_blamed:
            _log.error("the booth is shut: %s", why[0])
            self._booth_blamed = True
            yield Failed(*why, key="booth_shut")
        elif why is None and self._booth_blamed:
            self._booth_blamed = False
            yield from self._mended()

    def _desk_events(self) -> Iterator[Event]:
        """Keep the booth out of order while the desk says so: at once by order, after the sitter by the count."""
        if self._parts.desk is None:
            return
        desk = self._parts.desk.desk
        why, at_rest = desk.why_shut, self.session.state in ("welcome", "out_of_order")
        if why is not None and not self._desk_blamed and (desk.is_shut or at_rest):
            self._desk_blamed = True
            yield Failed(*why, key="shut_by_attendant" if desk.is_shut else "no_paper")
        elif why is None and self._desk_blamed:
            self._desk_blamed = False
            yield from self._mended()

    def _camera_events(self) -> Iterator[Event]:
        """Tell a lost shot from a lost camera: one is taken again, the other puts the booth out of order."""
        camera, now_s = self._parts.camera, self._parts.clock.now_s()
        for event in camera.poll():
            match event:
                case StillTaken(jpeg):
                    self._refused_shots = 0
                    if self._parts.desk is not None and self._parts.desk.desk.is_testing:
                        self._parts.desk.look_at(jpeg)
                    else:
                        yield ShotArrived(jpeg)
                case DeviceFailed(error):
                    _log.warning("camera: %s", error)
                    self._note_fault(str(error))
                    if self._parts.desk is not None and self._parts.desk.desk.is_testing:
                        self._parts.desk.test_shot_lost(str(error))
                    self._camera_error = error
                    if camera.state != "ready" and self._camera_down_s is None:
                        self._camera_down_s = now_s
                    yield from [_failed(error)] if self._camera_blamed else self._shot_failed(error, now_s)
                case DeviceNotice(text):
                    _log.warning("camera: %s", text)
                    self._camera_notice = text
                case DeviceReady():
                    self._camera_down_s, self._camera_notice = None, ""
                    yield from self._camera_mended()
        down_s = 0.0 if self._camera_down_s is None else now_s - self._camera_down_s
        if down_s > CAMERA_GRACE_S and not self._camera_blamed:
            self._camera_blamed = True
            yield _failed(self._camera_error)
        if self._refused_shots >= REFUSED_SHOTS and now_s - self._refused_s > REFUSED_REST_S:
            self._refused_shots = 0
            yield from self._camera_mended()

    def _shot_failed(self, error: KioskError, now_s: float) -> Iterator[Event]:
        """Let the shot be taken again, unless a camera that answers has refused several in a row."""
        self._refused_shots += self._parts.camera.state == "ready"
        if self._refused_shots < REFUSED_SHOTS:
            yield ShotFailed()
        elif not self._camera_blamed:
            self._refused_s = now_s
            self._camera_blamed = True
            yield _failed(error)

    def _camera_mended(self) -> Iterator[Event]:
        if self._camera_blamed:
            self._camera_blamed = False
            yield from self._mended()

    def _mended(self) -> Iterator[Event]:
        """Open the booth again, unless something else is still to blame."""
        if not (self._camera_blamed or self._printer_blamed or self._booth_blamed or self._desk_blamed):
            yield Mended()

    def _print_event(self, status: PrinterEvent) -> Iterator[Event]:
        if isinstance(status, DeviceFailed):
            _log.warning("printer: %s", status.error)
            self._printer_error = status.error
            self._printer_blamed = False
            return
        if isinstance(status, DeviceReady):
            yield from self._printer_mended()
            return
        taken = self._sheets.moved(status)
        if self._parts.desk is not None and taken:
            self._parts.desk.printed(taken)
        if self._parts.badges:
            self._parts.badges.moved(status)
        is_sitters = status.key == self._job_key
        match status.state, status.error:
            case "printing" | "done" as state, _:
                if is_sitters:
                    yield PrintMoved(state)
                if state == "done":
                    yield from self._printer_mended()
            case "failed", KioskError() as error:
                _log.warning("printer: %s", error)
                self._printer_error = error
                if is_sitters:
                    self._printer_blamed = True
                    yield _failed(error)

    def _printer_mended(self) -> Iterator[Event]:
        """Open the booth again where the printer kept it shut; a sheet that comes out tells as much as a check."""
        self._printer_error = None
        if self._printer_blamed:
            self._printer_blamed = False
            yield from self._mended()

    def _printer_trouble(self) -> Iterator[Event]:
        """Say that an idle printer could not print, while nobody sits before the camera; a session goes on."""
        if self._printer_error is not None and not self._printer_blamed and self.session.state in _UNSEATED:
            self._printer_blamed = True
            yield _failed(self._printer_error)

    def _outcome(self, ticket: Ticket, outcome: Outcome | Exception) -> Iterator[Event]:
        """Hand a finished sheet to the printer; a damaged still is taken again, a sheet that cannot be made is not."""
        printing = self.session.state == "printing" and self.session.since_s == ticket
        badges = self._parts.badges
        match outcome:
            case Still():
                yield Measured(ticket, outcome)
            case BadgeMade() if badges:
                yield from badges.made(ticket, outcome)
            case KioskError() if badges and badges.owns(ticket):
                yield from badges.not_made(ticket, outcome)
            case SheetMade(job):
                if printing:
                    self._job_key = job.key
                    self._send(job)
            case KioskError():
                _log.warning("%s", outcome)
                yield _failed(outcome) if printing else ShotFailed(ticket)
            case Exception():
                raise outcome

    def _order(self, order: Order) -> None:
        if self._parts.desk is not None:
            self._do(self._parts.desk.take(order, self.session))
            self._step(Intent("more_time"))

    def _do(self, wanted: Iterable[Do]) -> None:
        for each in wanted:
            match each:
                case Tell(event):
                    self._step(event)
                case Note(fact):
                    self._parts.ledger.put(fact)
                case TakeTestShot():
                    self._parts.camera.shoot()
                case Reprint(key):
                    self._sheets.send_again(key)
                case SearchGuests(query) if self._parts.badges:
                    self._parts.badges.desk.search_guests(query)
                case SaveGuest() if self._parts.badges:
                    self._parts.badges.desk.save_guest(each)
                case End():
                    _log.info("the attendant ends the program")
                    self.has_ended = True

    def _step(self, event: Event) -> None:
        before = self.session
        if isinstance(event, Failed):
            self._note_fault(event.sentence)
        self.session, commands = step(before, event, self._parts.clock.now_s(), self._offering)
        if self.session.state != before.state:
            _log.info("%s -> %s", before.state, self.session.state)
        for command in commands:
            self._perform(command)
        for fact in facts_of(before, event, self.session, commands):
            self._parts.ledger.put(fact)

    def _note_fault(self, sentence: str) -> None:
        """Keep a fault for the desk; one that comes again at once is kept once."""
        if self._faults and self._faults[0][1] == sentence:
            self._faults.popleft()
        self._faults.appendleft((self._parts.clock.now_s(), sentence))

    def _perform(self, command: Command) -> None:
        parts = self._parts
        match command:
            case Look(on, turned_deg):
                if on:
                    parts.files.wipe()
                parts.worker.look_on(on, partial(parts.bench.look, turned_deg=turned_deg))
            case ReadCodes():
                parts.worker.look_on(True, parts.bench.read_codes)
            case Shoot():
                parts.camera.shoot()
            case Measure(ticket, jpeg, document, number, turned_deg):
                parts.files.put(_STILL.format(number), jpeg)
                parts.worker.submit(ticket, partial(parts.bench.measure, jpeg, document, turned_deg))
            case Drop(number):
                parts.files.drop(_STILL.format(number))
            case Print(ticket):
                parts.worker.submit(ticket, partial(parts.bench.sheet, self._still(), command))
            case Find(query) if parts.badges:
                parts.badges.desk.find(query)
            case LookUp(code) if parts.badges:
                parts.badges.desk.look_up(code)
            case PrintBadge() if parts.badges:
                still = self._still() if command.plan else b""
                parts.badges.begin(command, still, self.session.document, self._arrived_at())
            case Wipe(ending):
                _log.info("session ended: %s", ending)
                parts.files.wipe()

    def _send(self, job: PrintJob) -> None:
        document = self.session.document
        assert document is not None
        photos = len(self._parts.bench.layout_on(self.session.paper).impose(document).photos)
        self._sheets.send(job, document, photos)

    @property
    def _offering(self) -> House:
        return offering(self._house, self._parts.desk.desk.sheets if self._parts.desk else None)

    def _still(self) -> bytes:
        """Return the kept still as the camera wrote it."""
        assert self.session.still is not None
        return self._parts.files.get(_STILL.format(self.session.still.number))

    def _desk_view(self) -> DeskView | None:
        desk = self._parts.desk
        return desk.view(self.session, self._house, self._standing()) if desk is not None and desk.is_open else None

    def _standing(self) -> Standing:
        camera_down = self._camera_blamed or self._camera_down_s is not None
        return Standing(
            camera=str(self._camera_error) if camera_down else "",
            camera_notice=self._camera_notice,
            printer="" if self._printer_error is None else str(self._printer_error),
            ledger=self._parts.ledger.standing,
            paper=self._parts.bench.layout.medium.short,
            faults=tuple(self._faults),
        )

    def _arrived_at(self) -> datetime:
        """Return when the guest was found on the roster."""
        waited_s = self._parts.clock.now_s() - self.session.found_s
        return self._parts.clock.now() - timedelta(seconds=waited_s)

    def _present(self) -> SessionView:
        bench, session, document = self._parts.bench, self.session, self.session.document
        layout = bench.layout_on(session.paper)
        papers = papers_of(session, self._house) if session.state == "copies" and document else ()
        return present(
            session,
            self._offering,
            self._parts.clock.now_s(),
            simulated=bench.simulated,
            copies=len(layout.impose(document).photos) if document else 0,
            paper=layout.medium.short,
            photos_on={name: len(bench.layout_on(name).impose(document).photos) for name in papers if document},
            desk=self._desk_view(),
        )

    def _say(self, instruction: str) -> None:
        if self._parts.hear is not None and instruction != self._heard:
            self._heard = instruction
            self._parts.hear(instruction)


def _sight(seen: Seeing) -> Iterator[Event]:
    match seen:
        case Looked(_, observation):
            yield Seen(observation)
        case CodesRead(_, codes) if codes:
            yield CodesSeen(codes)


def _failed(error: KioskError) -> Failed:
    return Failed(str(error), error.advice, error.key)
