"""One sitter's visit to a booth whose devices fail."""

from __future__ import annotations

import random
from dataclasses import dataclass, field

import simplejpeg

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView, State
from tests.support.happenings import Happening, Mend
from tests.support.marked_pictures import NUMBERS, Mark, mark_in
from tests.support.sights import DOCUMENT
from tests.support.surroundings import Surroundings

NOBODY = 0
RESOLUTE = 0.8
"""The luck of a sitter who accepts a photo that has passed, and has a sheet that failed printed again."""
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
    is_resolute: bool = False
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
        luck = RESOLUTE if self.is_resolute else self.chance.random()
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
