"""Visits to a booth whose devices fail, and an account of what each sitter was told and what came out.

What must hold is said by the job and not by the program: nobody gets another's picture; a sheet that is called printed
lies in a tray and one that is called not printed lies in none, and none lies there twice; nothing of a sitter stays.
"""

from __future__ import annotations

import random
import sqlite3
from collections import Counter
from dataclasses import dataclass, field

import simplejpeg

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView, State
from tests.support.happenings import Happening, Mend, happenings
from tests.support.marked_pictures import NUMBERS, Mark, mark_in
from tests.support.sights import DOCUMENT
from tests.support.surroundings import Surroundings

NOBODY = 0
NOTHING, PRINTED, NOT_PRINTED, UNKNOWN = "nothing", "printed", "not_printed", "unknown"


class ViolationError(AssertionError):
    """What must hold did not."""


@dataclass
class Account:
    """One sitter's sheets: the keys of those that were sent, the accepted pictures, and how many pages came out.

    Attributes
    ----------
    may_be_sent_again
        Whether a queue was paused and resumed, or its server ended and started again, which sends a sheet again then:
        before the booth can call it back, two of the sheet come out, and it is called unknown
        (`tests/faults/printing/test_any_schedule.py`, `test_server_killed.py`).
    """

    keys: list[str] = field(default_factory=list)
    accepted: set[Mark] = field(default_factory=set)
    pages: int = 0
    may_be_sent_again: bool = False


@dataclass
class Visit:
    """One sitter's way through the booth."""

    around: Surroundings
    sitter: int
    chance: random.Random
    plan: list[Happening]
    account: Account = field(default_factory=Account)
    told: str = NOTHING
    states: list[State] = field(default_factory=list)
    happened: list[str] = field(default_factory=list)
    has_left: bool = False
    was_killed: bool = False
    _mends: list[tuple[float, Mend]] = field(default_factory=list)
    _due: list[tuple[float, Happening]] = field(default_factory=list)
    _acts_s: float = 0.0
    _retakes: int = 0

    def live(self) -> None:
        """Go from the welcome screen back to it."""
        around = self.around
        around.body.sit(self.sitter)
        left = [queue.name for queue in around.queues if queue.gives_up]
        self.happened += [f"{name} gives up, as it was to for somebody before" for name in left]
        end_s = around.now_s() + around.pace.hangs_s
        self._entered("welcome")
        while True:
            view = self._turn()
            has_been_there = self.has_left or "choose" in self.states
            if view.state == "welcome" and has_been_there and not self._due:
                break
            if around.now_s() > end_s:
                raise ViolationError(f"the booth hangs at {view.state}")
            if around.now_s() < self._acts_s:
                continue
            if not self.has_left:
                self._act(view)
            elif view.state == "out_of_order":
                self._tap("done")  # the next one, in whose way the message about the sheet is
        around.body.sit(NOBODY)

    def rest(self) -> None:
        """Let everything be put right and come to rest with nobody there."""
        around = self.around
        end_s = around.now_s() + around.pace.hangs_s
        while self._mends or not self._is_quiet():
            view = self._turn(around.pace.idle_turn_s)
            if view.state == "out_of_order" and around.now_s() >= self._acts_s:
                self._tap("done")
            if around.now_s() > end_s:
                unrest = [queue.unrest for queue in around.queues]
                raise ViolationError(f"nothing comes to rest at {view.state}, {view.fault}, {unrest}")
        self._turn()

    def _is_quiet(self) -> bool:
        around = self.around
        is_done = around.booth.view.state == "welcome" and around.booth.is_at_rest
        return is_done and not any(queue.unrest for queue in around.queues)

    def _turn(self, least_s: float = 0.0) -> SessionView:
        around = self.around
        for at_s, happening in [each for each in self._due if each[0] <= around.now_s()]:
            self._due.remove((at_s, happening))
            self.happened.append(f"{happening.what} in {self.states[-1]} +{happening.after_s:.1f} s")
            self.was_killed |= happening.what == "booth"
            self.account.may_be_sent_again |= around.sends_again and happening.what.startswith(("pause", "server"))
            mend = happening.strike(around)
            if mend is not None:
                self._mends.append((around.now_s() + mend[0], mend))
        for at_s, mend in [each for each in self._mends if each[0] <= around.now_s()]:
            self._mends.remove((at_s, mend))
            mend[1]()
        view = around.booth.turn(max(least_s, around.pace.turns_s.get(self.states[-1], around.pace.turn_s)))
        self.account.keys += around.booth.submitted()
        if view.state != self.states[-1]:
            self._entered(view.state)
        self._hear(view)
        return view

    def _entered(self, state: State) -> None:
        now_s = self.around.now_s()
        self.states.append(state)
        self._acts_s = now_s + self.chance.choice(self.around.pace.hesitates_s)
        if state == "align":
            self.around.sights.live.clear()
        for happening in [each for each in self.plan if each.state == state]:
            self.plan.remove(happening)
            self._due.append((now_s + happening.after_s, happening))

    def _hear(self, view: SessionView) -> None:
        """Note what the sitter is told of the sheet."""
        match view.state:
            case "printing":
                self.told = NOTHING
            case "collect":
                self.told = PRINTED
            case "unprinted":
                self.told = NOT_PRINTED if view.sheet.print_state in ("failed", "ready") else UNKNOWN
            case "out_of_order" if view.trouble == "sheet_unknown":
                self.told = UNKNOWN
            case "out_of_order" if view.trouble == "sheet_not_printed":
                self.told = NOT_PRINTED

    def _act(self, view: SessionView) -> None:
        """Do what the sitter does at a screen, once each time it comes."""
        luck = self.chance.random()
        if luck < 0.015 and view.state not in ("welcome", "printing"):
            self.has_left = True
            return
        match view.state:
            case "welcome":
                self._tap("start")
            case "choose":
                self._tap("choose", DOCUMENT.id)
            case "prepare":
                self._tap("ready", "6")
            case "privacy":
                self._tap("agree")
            case "review":
                self._decide(view, luck)
            case "unprinted":
                self._ask_again(view, luck)
            case "collect" | "thanks" | "out_of_order":
                self._tap("done")
        self._acts_s = self.around.now_s() + self.around.pace.again_s

    def _decide(self, view: SessionView, luck: float) -> None:
        passed = view.review.verdict == "pass"
        if luck > 0.97:
            self._tap("start_again")
        elif self._retakes < 3 and (not passed or luck > 0.85):
            self._retakes += 1
            self._tap("retake")
        elif passed:
            self.account.accepted.add(_mark(view.review.photo_jpeg))
            self._tap("accept")
        else:
            self._tap("start_again")

    def _ask_again(self, view: SessionView, luck: float) -> None:
        """Have a sheet printed again that is in no tray, once in a while, or give it up."""
        lies_there = any(
            mark is not None and mark.sitter == self.sitter % NUMBERS
            for queue in self.around.queues
            for mark in queue.tray()
        )
        if lies_there or luck > 0.9:
            self._tap("start_again")
        elif luck > 0.6:
            self._tap("retry")

    def _tap(self, name: str, argument: str = "") -> None:
        self.around.booth.touch(Intent(name, argument))  # type: ignore[arg-type]


def _mark(jpeg: bytes) -> Mark:
    return mark_in(simplejpeg.decode_jpeg(jpeg))


class Day:
    """Visits one after another to one booth, and whether what must hold did.

    Attributes
    ----------
    counts
        Of visits, pages, and each word of a sheet.
    """

    def __init__(self, around: Surroundings, seed: int) -> None:
        self._around = around
        self._seed = seed
        self._accounts: dict[int, Account] = {}
        self._sitters = 0
        self.counts: Counter[str] = Counter()

    def visit(self, plan: list[Happening] | None = None) -> None:
        """Let one sitter come and go, with what happens meanwhile; at random where no plan is given.

        Raises
        ------
        ViolationError
            What must hold did not; it says what happened.
        """
        self._sitters += 1
        chance = random.Random(f"{self._seed} {self._sitters}")
        if plan is None:
            plan = happenings(chance, self._around.pace, has_server=self._around.server is not None)
        visit = Visit(self._around, self._sitters % NUMBERS, chance, plan)
        self._accounts[visit.sitter] = visit.account
        self._around.sights.measured.clear()
        self._around.sights.live.clear()
        try:
            visit.live()
            visit.rest()
            self._look(visit)
        except Exception as error:
            told = f"visit {self._sitters} of seed {self._seed}: {error}; {visit.states}; {visit.happened}"
            raise ViolationError(f"{told}; told {visit.told}, {visit.account}{self._around.told()}") from error
        self.counts["visits"] += 1
        self.counts["happenings"] += len(visit.happened)

    def _look(self, visit: Visit) -> None:
        """Hold what was said and seen in a visit against what is in the trays, the files and the ledger."""
        sights, body = self._around.sights, self._around.body
        _must(not {mark.sitter for mark in sights.live} - {visit.sitter}, "another was seen in the live view")
        for mark in sights.measured:
            _must(mark.sitter == visit.sitter, f"another's picture was measured: {mark}")
            _must(body.was_ordered(mark.exposure), f"a picture that nobody ordered was measured: {mark}")
        left = self._around.booth.left_behind()
        _must(not left, f"of the sitter is left: {', '.join(left)}")
        if visit.was_killed:
            visit.account.keys += self._unheard_of()
        touched = {visit.sitter, *self._empty_trays()}
        ended = {key: end for sitter in touched for key, end in self._ended(sitter).items()}
        for sitter in touched:
            self._balance(sitter, [ended.get(key) for key in self._accounts[sitter].keys])
        self._compare_words(visit, ended)
        self.counts["pictures left on the camera"] += body.left()

    def _empty_trays(self) -> set[int]:
        """Take what lies in the trays, and return whose it is."""
        found = set()
        for queue in self._around.queues:
            for mark in queue.tray():
                if mark is None:
                    self.counts["pages cut off"] += 1
                    continue
                account = self._accounts.get(mark.sitter)
                _must(account is not None and mark in account.accepted, f"a page shows another picture: {mark}")
                assert account is not None
                account.pages += 1
                self.counts["pages"] += 1
                found.add(mark.sitter)
            queue.clear_tray()
        return found

    def _unheard_of(self) -> list[str]:
        """Return the keys of sheets that the ledger has of a booth which was killed before it could tell of them."""
        known = {key for account in self._accounts.values() for key in account.keys}
        with sqlite3.connect(self._around.folder / "ledger.sqlite3") as ledger:
            return [key for (key,) in ledger.execute("SELECT key FROM sheet") if key not in known]

    def _ended(self, sitter: int) -> dict[str, str | None]:
        """Return what the ledger says of a sitter's sheets."""
        keys = self._accounts[sitter].keys
        with sqlite3.connect(self._around.folder / "ledger.sqlite3") as ledger:
            asked = f"SELECT key, ended FROM sheet WHERE key IN ({','.join('?' * len(keys))})"
            return dict(ledger.execute(asked, keys).fetchall())

    def _balance(self, sitter: int, ends: list[str | None]) -> None:
        """Compare a sitter's sheets with the pages that came out."""
        pages, said = self._accounts[sitter].pages, Counter(ends)
        for end, count in said.items():
            self.counts[f"sheets {end}"] += count
        _must(pages >= said[PRINTED], f"{said[PRINTED]} sheets are called printed and {pages} pages came out")
        times = 2 if self._accounts[sitter].may_be_sent_again else 1
        most = said[PRINTED] + times * said[UNKNOWN]
        _must(pages <= most, f"{pages} pages came out and at most {most} sheets are known to have")

    def _compare_words(self, visit: Visit, ended: dict[str, str | None]) -> None:
        """Compare what a sitter was told last with the ledger's word on the last sheet."""
        keys = visit.account.keys
        if not keys or visit.was_killed:
            return
        end = ended.get(keys[-1])
        _must(end is not None, "the ledger knows no end of the last sheet")
        _must(visit.told in (end, NOTHING), f"the sitter was told {visit.told} and the ledger says {end}")
        _must(visit.told != NOTHING, f"the sitter was told nothing, and the ledger says {end}")
        if not visit.happened:
            _must(end == PRINTED, f"nothing happened, and the sheet is called {end}")


def _must(holds: bool, otherwise: str) -> None:
    if not holds:
        raise ViolationError(otherwise)
