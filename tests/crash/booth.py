"""A booth that can be cut off anywhere: the real loop, files, ledger, printer and screen in a process of its own.

Run as a server: a line of JSON a command on standard input, a line of JSON back. The process preloads `cut.c` and
forks for each session, so that a killed one costs nothing but itself.
"""

import ctypes
import json
import os
import signal
import sys
import time
from pathlib import Path

from kiosk.booth.loop import TICK_S
from kiosk.core.session.events import Failed, Released
from kiosk.core.view.intent import Intent
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.sim.payment import SimulatedPayment
from kiosk.errors import PrinterFault
from kiosk.store.desk_memory import DeskMemory, Remembered
from tests.support.event_desk import event_in
from tests.support.pin import CHEAP_HASH
from tests.support.quick_booth import Sights, opened
from tests.support.sights import DOCUMENT, conforming, seen

LIMIT_S = 120.0
SHEETS = 100
"""How many are in the printer, so that the desk writes down each that comes out."""
CUT_BEFORE, CUT_TORN = 0, 1
ATTENDED, EVENT, FAILING, JAMMED = "attended", "event", "failing", "jammed"
"""An attendant releases each sheet and has it printed again; badges are handed out; a device fails in the review; the
printer takes no sheet.
"""
CARD, COINS, PAID_JAMMED = "card", "coins", "paid_jammed"
"""The sitter pays by card or in coins; or by card, and the printer prints nothing."""
PAID = (CARD, COINS, PAID_JAMMED)
UNIT = "unit"
"""The folder with the books of the payment unit, which no power cut reaches: they are written first."""

WAYS = {
    "welcome": Intent("start"),
    "choose": Intent("choose", DOCUMENT.id),
    "prepare": Intent("ready", "6"),
    "privacy": Intent("agree"),
    "review": Intent("accept"),
    "copies": Intent("print"),
    "release": Released(),
    "collect": Intent("done"),
}


class SightsOf(Sights):
    """Sees a sitter who does everything right by the rules of one document."""

    def __init__(self, document):
        self._document = document

    def observe(self, rgb):
        return seen(document=self._document)

    def measure(self, rgb, focal_length_px=None):
        return conforming(self._document)


class JammedPrinter(FolderPrinter):
    """Answers that all is well until it is given a sheet."""

    def print_sheet(self, job):
        raise PrinterFault(printer=self.name, detail="the paper is jammed")


def booth(folder, mode):
    """Open the booth in one of its modes."""
    memory = DeskMemory(folder / "state" / "desk.json")
    if mode not in PAID and memory.get().sheets is None:
        memory.put(Remembered(sheets=SHEETS))
    if mode == EVENT:
        desk, reception = event_in(folder)
        return opened(folder, sights=SightsOf(reception.document), event=(desk, reception))
    if mode in PAID:
        (folder / UNIT).mkdir(parents=True, exist_ok=True)
        way = "coins" if mode == COINS else "terminal"
        unit = SimulatedPayment(way, step_s=0.0001, memory=folder / UNIT / "books.json")
        printer = JammedPrinter(folder / "prints") if mode == PAID_JAMMED else None
        return opened(folder, unit=unit, printer=printer)
    printer = JammedPrinter(folder / "prints") if mode == JAMMED else None
    return opened(folder, printer=printer, pin_hash=CHEAP_HASH, release="attendant", reprint_minutes=15, sheets=(1, 2))


def turn(loop, parts):
    """Let all that works in step with the loop do one thing, and tick."""
    parts.worker.turn()
    loop.tick()
    parts.clock.sleep(TICK_S)


def work_off(parts):
    """Let the worker do all that it was given."""
    while not parts.worker._jobs.empty():
        parts.worker.turn()


def way_on(loop, mode):
    """Return what takes the session on from where it is, or None where it goes on by itself."""
    session = loop.session
    if session.state == "find":
        waiting = [guest for guest in session.search.guests if not guest.has_badge]
        return Intent("guest", waiting[0].id) if waiting else Intent("type", "a") if not session.search.query else None
    if session.state == "unprinted" and mode == PAID_JAMMED:
        return Intent("start_again")
    if session.state == "money_back":
        return Intent("done") if session.account.repaid is not None else None
    if session.state == "review" and mode == FAILING:
        return Failed("The camera does not answer.", "Look at its cable.")
    return WAYS.get(session.state)


def session(loop, parts, until, mode, on_state=lambda state: None):
    """Take a sitter from welcome to `until`, through the events that the screen would send."""
    deadline = time.monotonic() + LIMIT_S
    loop.tick()
    on_state(loop.session.state)
    while loop.session.state != until:
        assert time.monotonic() < deadline, loop.session.state
        before = loop.session.state
        way = way_on(loop, mode)
        if way is not None:
            loop._step(way)
            if loop.session.state != before:
                on_state(loop.session.state)
                before = loop.session.state
        if before in ("paying", "printing", "money_back"):
            time.sleep(0.001)
        turn(loop, parts)
        if loop.session.state != before:
            on_state(loop.session.state)
    work_off(parts)


def to_the_end(loop, parts, mode):
    """Serve one sitter whole: until the badge is noted, or until the sheet has been printed again."""
    if mode == PAID_JAMMED:
        session(loop, parts, "money_back", mode)
        session(loop, parts, "welcome", mode)
        return
    session(loop, parts, "collect", mode)
    deadline = time.monotonic() + LIMIT_S
    if mode in PAID:
        return
    if mode == EVENT:
        while parts.badges._sent or not parts.ledger.flush():
            assert time.monotonic() < deadline, "the badge hangs"
            time.sleep(0.001)
            turn(loop, parts)
        return
    (sheet,) = parts.kept.offered()
    loop._sheets.send_again(sheet.key)
    while not parts.kept.offered():
        assert time.monotonic() < deadline, "the reprint hangs"
        time.sleep(0.001)
        turn(loop, parts)


def cut_at_write(folder, nth, how, mode):
    """Take a sitter through until the nth change of a file kills the process; return how many there were."""
    library = ctypes.CDLL(None)
    library.cut_arm(ctypes.c_long(nth), ctypes.c_long(how))
    with booth(folder, mode) as (loop, parts):
        to_the_end(loop, parts, mode)
        parts.ledger.flush()
        loop._step(WAYS["collect"])
        work_off(parts)
        settle(loop, parts)
    return library.cut_count()


def cut_at_state(folder, state, mode):
    """Take a sitter through until a state kills the process."""
    with booth(folder, mode) as (loop, parts):

        def cut(reached):
            if reached == state:
                work_off(parts)
                os.kill(os.getpid(), signal.SIGKILL)

        session(loop, parts, state, mode, cut)


def cut_in_reprint(folder):
    """Kill the process when a reprint has been given to the printer, and before it has come out."""
    with booth(folder, ATTENDED) as (loop, parts):
        session(loop, parts, "collect", ATTENDED)
        (sheet,) = parts.kept.offered()
        parts.prints._printer.print_sheet = lambda job: os.kill(os.getpid(), signal.SIGKILL)
        loop._sheets.send_again(sheet.key)
        time.sleep(LIMIT_S)


def settle(loop, parts):
    """Wait until all money is spent, paid back, or left to the attendant."""
    deadline, money = time.monotonic() + LIMIT_S, loop._money
    while money is not None and not (money._left_open is None and all(each.is_owed for each in money._bills.values())):
        assert time.monotonic() < deadline, money._bills
        time.sleep(0.001)
        turn(loop, parts)
    parts.ledger.flush()


def restart(folder, again, mode):
    """Open the booth after a crash; return the state that it comes to by itself, and serve one more sitter if asked."""
    with booth(folder, mode) as (loop, parts):
        loop.tick()
        state = loop.session.state
        settle(loop, parts)
        left = parts.files.names()
        kept = [sheet.key for sheet in parts.kept.offered()]
        if again:
            session(loop, parts, "welcome" if mode == PAID_JAMMED else "collect", mode)
            settle(loop, parts)
            deadline = time.monotonic() + LIMIT_S
            while mode == EVENT and parts.badges._sent:
                assert time.monotonic() < deadline, "the badge hangs"
                time.sleep(0.001)
                turn(loop, parts)
    return {"state": state, "left": left, "kept": kept}


def cut_at_start(folder, nth, how, mode):
    """Open the booth until the nth change of a file kills the process."""
    ctypes.CDLL(None).cut_arm(ctypes.c_long(nth), ctypes.c_long(how))
    with booth(folder, mode) as (loop, _):
        loop.tick()


DO = {act.__name__: act for act in (cut_at_start, cut_at_write, cut_at_state, cut_in_reprint, restart)}


def main():
    """Serve."""
    for line in sys.stdin:
        command, folder, *arguments = json.loads(line)
        ours, theirs = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(ours)
            answer = DO[command](Path(folder), *arguments)
            with os.fdopen(theirs, "w") as pipe:
                pipe.write(json.dumps(answer))
            os._exit(0)
        os.close(theirs)
        with os.fdopen(ours) as pipe:
            told = pipe.read()
        _, status = os.waitpid(child, 0)
        print(json.dumps({"killed": os.WIFSIGNALED(status), "answer": json.loads(told) if told else None}), flush=True)


if __name__ == "__main__":
    main()
