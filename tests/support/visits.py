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
from tests.support.marked_pictures import NUMBERS, Mark, mark_in, mark_on_sheet
from tests.support.sights import DOCUMENT
from tests.support.stepped_booth import Surroundings

TICKS_S: dict[State, float] = {"align": 0.2, "shooting": 0.2, "measuring": 0.2, "printing": 1.0, "unprinted": 2.0}
"""How long a turn of the loop takes in each state; elsewhere 0.5 s."""
LONGEST_S = 3000.0
"""After so long a visit hangs: longer than any sheet, its holding, and the photo's keeping together."""
NOBODY = 0
NOTHING, PRINTED, NOT_PRINTED, UNKNOWN = "nothing", "printed", "not_printed", "unknown"


class ViolationError(AssertionError):
    """What must hold did not."""


@dataclass
class Account:
    """One sitter's sheets: the keys of those that were sent, the accepted pictures, and how many pages came out."""

    keys: list[str] = field(default_factory=list)
    accepted: set[Mark] = field(default_factory=set)
    pages: int = 0


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
        around.body.sitter = self.sitter
        left = [queue.name for queue in around.queues if queue.printer.gives_up]
        self.happened += [f"{name} gives up, as it was to for somebody before" for name in left]
        end_s = around.clock.now_s() + LONGEST_S
        self._entered("welcome")
        while True:
            view = self._turn()
            has_been_there = self.has_left or "choose" in self.states
            if view.state == "welcome" and has_been_there and not self._due:
                break
            if around.clock.now_s() > end_s:
                raise ViolationError(f"the booth hangs at {view.state}")
            if around.clock.now_s() < self._acts_s:
                continue
            if not self.has_left:
                self._act(view)
            elif view.state == "out_of_order":
                self._tap("done")  # the next one, in whose way the message about the sheet is
        around.body.sitter = NOBODY

    def rest(self) -> None:
        """Let everything be put right and come to rest with nobody there."""
        around, clock = self.around, self.around.clock
        end_s = clock.now_s() + LONGEST_S
        while self._mends or not self._is_quiet():
            view = self._turn(2.0)
            if view.state == "out_of_order" and clock.now_s() >= self._acts_s:
                self._tap("done")
            if clock.now_s() > end_s:
                raise ViolationError(f"nothing comes to rest at {view.state}, {view.fault}")
        self._turn()
        around.booth.rest()

    def _is_quiet(self) -> bool:
        booth, queues = self.around.booth, self.around.queues
        for queue in queues:
            queue.go_on()
        return (
            booth.screen.view.state == "welcome"
            and booth.camera.state == "ready"
            and booth.prints.is_idle
            and all(not any(job.state < 7 for job in queue.jobs.values()) for queue in queues)
            and all(queue.printer.is_at_rest and queue.printer.is_on for queue in queues)
        )

    def _turn(self, least_s: float = 0.0) -> SessionView:
        around, clock = self.around, self.around.clock
        for at_s, happening in [each for each in self._due if each[0] <= clock.now_s()]:
            self._due.remove((at_s, happening))
            self.happened.append(f"{happening.what} in {self.states[-1]} +{happening.after_s:.1f} s")
            self.was_killed |= happening.what == "booth"
            mend = happening.strike(around)
            if mend is not None:
                self._mends.append((clock.now_s() + mend[0], mend))
        for at_s, mend in [each for each in self._mends if each[0] <= clock.now_s()]:
            self._mends.remove((at_s, mend))
            mend[1]()
        submitted = around.booth.prints.submitted
        view = around.booth.tick(max(least_s, TICKS_S.get(self.states[-1], 0.5)))
        self.account.keys += submitted
        submitted.clear()
        if view.state != self.states[-1]:
            self._entered(view.state)
        self._hear(view)
        return view

    def _entered(self, state: State) -> None:
        now_s = self.around.clock.now_s()
        self.states.append(state)
        self._acts_s = now_s + self.chance.choice((0.0, 0.5, 2.0))
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
        self._acts_s = self.around.clock.now_s() + 4.0

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
            page is not None and mark_on_sheet(page).sitter == self.sitter % NUMBERS
            for queue in self.around.queues
            for page in queue.printer.tray
        )
        if lies_there or luck > 0.9:
            self._tap("start_again")
        elif luck > 0.6:
            self._tap("retry")

    def _tap(self, name: str, argument: str = "") -> None:
        self.around.booth.screen.touched.append(Intent(name, argument))  # type: ignore[arg-type]


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
        plan = happenings(chance) if plan is None else plan
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
            raise ViolationError(f"{told}; told {visit.told}, {visit.account}") from error
        self.counts["visits"] += 1
        self.counts["happenings"] += len(visit.happened)

    def _look(self, visit: Visit) -> None:
        """Hold what was said and seen in a visit against what is in the trays, the files and the ledger."""
        sights, body = self._around.sights, self._around.body
        _must(not {mark.sitter for mark in sights.live} - {visit.sitter}, "another was seen in the live view")
        for mark in sights.measured:
            _must(mark.sitter == visit.sitter, f"another's picture was measured: {mark}")
            _must(body.exposures[mark.exposure].is_of_an_order, f"a picture that nobody ordered was measured: {mark}")
        touched = {visit.sitter, *self._empty_trays()}
        ended = {key: end for sitter in touched for key, end in self._ended(sitter).items()}
        for sitter in touched:
            self._balance(sitter, [ended.get(key) for key in self._accounts[sitter].keys])
        self._compare_words(visit, ended)
        _must(not self._around.booth.files.names(), "files are left")
        session = self._around.booth.loop.session
        _must(session.still is None and not session.last_photo, "a photo is left in memory")
        self.counts["pictures left on the camera"] += len(body.files)
        if len(body.exposures) > NUMBERS // 2:
            body.exposures.clear()

    def _empty_trays(self) -> set[int]:
        """Take what lies in the trays, and return whose it is."""
        found = set()
        for queue in self._around.queues:
            for page in queue.printer.tray:
                if page is None:
                    self.counts["pages cut off"] += 1
                    continue
                mark = mark_on_sheet(page)
                account = self._accounts.get(mark.sitter)
                _must(account is not None and mark in account.accepted, f"a page shows another picture: {mark}")
                assert account is not None
                account.pages += 1
                self.counts["pages"] += 1
                found.add(mark.sitter)
            queue.printer.tray.clear()
        return found

    def _ended(self, sitter: int) -> dict[str, str | None]:
        """Return what the ledger says of a sitter's sheets."""
        booth, keys = self._around.booth, self._accounts[sitter].keys
        _must(booth.ledger.flush(), "the ledger is not written")
        with sqlite3.connect(self._around.folder / "ledger.sqlite3") as ledger:
            asked = f"SELECT key, ended FROM sheet WHERE key IN ({','.join('?' * len(keys))})"
            return dict(ledger.execute(asked, keys).fetchall())

    def _balance(self, sitter: int, ends: list[str | None]) -> None:
        """Compare a sitter's sheets with the pages that came out."""
        pages, said = self._accounts[sitter].pages, Counter(ends)
        for end, count in said.items():
            self.counts[f"sheets {end}"] += count
        _must(pages >= said[PRINTED], f"{said[PRINTED]} sheets are called printed and {pages} pages came out")
        most = said[PRINTED] + said[UNKNOWN]
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
