"""A hand that means no good: random touches, drags, keys, PINs, windows and failing devices, and what must hold.

Whatever comes, the loop goes on, the window stays, nobody is behind the PIN who has not typed it, and a booth that is
left alone with devices that answer comes back to welcome with nothing kept of the sitter. An attendant who knows the
PIN is one of the hands; what the attendant shuts stays shut until it is opened again.
"""

import contextlib
import random
import sqlite3
import time
from collections import Counter

import pygame

from kiosk.booth.loop import TICK_S
from kiosk.core.attendant.pin_lock import LONGEST_WAIT_S
from kiosk.core.session.state import NEXT
from kiosk.core.view.attendant import DeskIntent
from kiosk.devices.sim.payment import SimulatedPayment
from tests.support.event_desk import event_in
from tests.support.hand import SIZE, Hand
from tests.support.pin import CHEAP_HASH, PIN
from tests.support.quick_booth import opened
from tests.support.restless import RestlessCamera, RestlessPrinter, RestlessSights

FORWARD = (
    "start",
    "choose",
    "ready",
    "agree",
    "accept",
    "accept_doubt",
    "done",
    "print",
    "guest",
    "without_photo",
    "retry",
    "cancel",
)
QUIET_S = 700.0
"""Longer than any state may last without an action (`BoothConfig.idle_s`)."""


class Monkey:
    """One booth under one hand."""

    def __init__(self, loop, parts, camera, sights, printer, chance):
        self.loop, self.parts, self.chance = loop, parts, chance
        self.camera, self.sights, self.printer = camera, sights, printer
        self.passed, self.pages, self.acts = Counter(), Counter(), Counter()
        self._knows_pin = False
        self._hand = Hand(parts, chance, self.tick)

    def play(self, steps):
        """Do so many random things, and look after each."""
        ways = {
            self._hand.touch: 20,
            self._go_on: 20,
            self._desk: 12,
            self._hand.key: 10,
            self._hand.combination: 8,
            self._hand.drag: 5,
            self._hand.hold: 2,
            self._wrong_pin: 3,
            self.sign_in: 2,
            self._hand.window: 5,
            self._device: 5,
            self._wait: 20,
        }
        for _ in range(steps):
            way = self.chance.choices(list(ways), list(ways.values()))[0]
            self.acts[way.__name__.strip("_")] += 1
            way()
            self.tick()

    def tick(self):
        """Let the booth work for one tick, and see that whatever must always hold does."""
        self.parts.worker.turn()
        self.loop.tick()
        self.parts.clock.sleep(TICK_S)
        state, page = self.loop.session.state, self.parts.desk.desk.page
        self.passed[state] += 1
        self.pages[page] += 1
        assert state in NEXT
        assert not self.parts.screen.closed
        assert self.parts.screen.shown is not None
        assert self._knows_pin or page in ("closed", "pin"), f"behind the PIN, at {page}"
        if self.loop.has_ended:
            assert self._knows_pin, "ended by somebody without the PIN"
            self.pages["ended"] += 1
            self.loop.has_ended = False
        self._knows_pin = self._knows_pin and page != "closed"

    def rest(self):
        """Let go of everything; the booth must come home by itself, or as soon as its attendant opens it."""
        self.camera.come_back()
        self.camera.loses, self.printer.stops, self.sights.is_well = False, False, False
        pygame.event.clear()
        self.parts.clock.sleep(QUIET_S)
        self.tick()
        self._open_again()
        deadline = time.monotonic() + 60.0
        while self.loop.session.state != "welcome":
            assert time.monotonic() < deadline, f"stuck in {self.loop.session.state}"
            time.sleep(0.001)
            self.parts.clock.sleep(10.0)
            self.tick()
        while not self.parts.worker._jobs.empty():
            self.parts.worker.turn()
        assert self.parts.files.names() == []
        assert self.parts.worker.seen() is None
        assert self.loop.session.still is None
        assert self.parts.desk.desk.page == "closed"
        if self.parts.cashier is not None:
            self._balance()

    def _balance(self):
        """Hold the ledger against the payment unit's own books, once nothing is under way."""
        money, books = self.loop._money, self.parts.cashier.unit.books.values()
        deadline = time.monotonic() + 60.0
        while not all(each.is_owed for each in money._bills.values()):
            assert time.monotonic() < deadline, money._bills
            time.sleep(0.001)
            self.tick()
        assert self.parts.ledger.flush(30.0)
        with contextlib.closing(sqlite3.connect(self.parts.ledger._path)) as ledger:
            paid, refunded, settled = ledger.execute(
                "SELECT total(paid), total(refunded), total(settled) FROM payment"
            ).fetchone()
            (spent,) = ledger.execute("SELECT total(price) FROM sheet WHERE ended = 'printed'").fetchone()
        assert paid == sum(booked.paid for booked in books)
        assert refunded == sum(booked.refunded for booked in books)
        assert paid == spent + refunded + settled + sum(bill.credit for bill in money.owed())

    def sign_in(self):
        """Type the right PIN on a keyboard, unless the lock is on."""
        self._hand.press(pygame.K_ESCAPE, pygame.K_ESCAPE, pygame.K_F9)
        self._knows_pin = True
        self._hand.press(*map(ord, PIN), pygame.K_RETURN)
        self._settle()

    def _open_again(self):
        """Have an attendant open what one has shut, and load paper."""
        desk = self.parts.desk
        if desk.desk.why_shut is None:
            return
        self.parts.clock.sleep(LONGEST_WAIT_S)
        self.sign_in()
        assert desk.desk.page == "state"
        if desk.desk.is_shut:
            self._hand.tap(DeskIntent("open_again"))
        self._hand.tap(DeskIntent("show", "paper"))
        self._hand.press(*map(ord, "900"), pygame.K_RETURN)
        self._hand.press(pygame.K_ESCAPE)
        assert desk.desk.page == "closed"

    def _settle(self):
        """Wait for the desk's threads, which are real ones."""
        deadline = time.monotonic() + 60.0
        while self.parts.desk.is_busy:
            assert time.monotonic() < deadline, "the desk hangs"
            time.sleep(0.001)
            self.tick()
        self.tick()

    def _wrong_pin(self):
        """Open the desk, by a finger at the upper edge or by a key, and try PINs."""
        if self.chance.random() < 0.5:
            self._hand.rest_finger(self.chance.uniform(0, SIZE[0]), self.chance.uniform(0, 20), 3.2)
        else:
            self._hand.press(pygame.K_F9)
        for _ in range(self.chance.choice((1, 1, 5))):
            digits = self.chance.choices(range(10), k=self.chance.choice((1, 6, 6, 12, 30)))
            self._hand.press(*(ord(str(digit)) for digit in digits), pygame.K_RETURN)
            if self.chance.random() < 0.8:
                self._settle()

    def _desk(self):
        """Touch something of the desk that is open, or go on as a sitter."""
        targets = [target for target in self.parts.screen.stage.targets if isinstance(target.act, DeskIntent)]
        if not targets:
            self._go_on()
            return
        self._hand.tap(self.chance.choice(targets).act)

    def _go_on(self):
        """Take the next step as a sitter would, so that random things happen everywhere."""
        targets = [target for target in self.parts.screen.stage.targets if getattr(target.act, "name", "") in FORWARD]
        for _ in range(20):
            self.tick()
        if targets:
            middle = self.chance.choice(targets).rect.centre
            self._hand.click(middle.x, middle.y)

    def _device(self):
        act = self.chance.randrange(5)
        if act == 0:
            self.camera.go()
        elif act == 1:
            self.camera.come_back()
        elif act == 2:
            self.camera.loses = not self.camera.loses
        elif act == 3:
            self.printer.stops = not self.printer.stops
        else:
            self.sights.is_well = not self.sights.is_well

    def _wait(self):
        for _ in range(self.chance.choice((1, 5, 40))):
            self.tick()
        self.parts.clock.sleep(self.chance.choice((0.0, 0.5, 5.0, 50.0)) if self.chance.random() < 0.1 else 0.0)


@contextlib.contextmanager
def monkey(folder, seed):
    """Open a booth in `folder` under a hand that is the same for the same seed.

    Every second booth waits for an attendant to release its sheets; two of four leave doubtful photos to the sitter;
    every fourth hands out badges at an event, one takes coins and one takes cards, from a unit that obeys or not.
    """
    chance = random.Random(seed)
    camera, sights = RestlessCamera(), RestlessSights(chance)
    printer = RestlessPrinter(folder / "prints")
    way = {1: "coins", 3: "terminal"}.get(seed % 4)
    answers = random.Random(-seed).choices(("approved", "declined", "silent", "late", "lost", "other"), k=500)
    unit = SimulatedPayment(way, answers, step_s=0.0005) if way else None
    with opened(
        folder,
        camera,
        sights,
        printer,
        ("en", "ar", "de"),
        pin_hash=CHEAP_HASH,
        release=("free", "attendant")[seed % 2],
        doubt=("sitter", "attendant")[seed // 2 % 2],
        event=event_in(folder) if seed % 4 == 0 else None,
        reprint_minutes=15,
        sheets=((1,), (1, 2))[seed // 2 % 2],
        unit=unit,
    ) as (loop, parts):
        yield Monkey(loop, parts, camera, sights, printer, chance)
