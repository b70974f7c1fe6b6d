"""Visits to a booth whose devices fail, and an account of what each sitter was told and what came out.

What must hold is said by the job and not by the program: nobody gets another's picture; a sheet that is called printed
lies in a tray and one that is called not printed lies in none, and none lies there twice; nothing of a sitter stays.
"""

from __future__ import annotations

import random
import sqlite3
from collections import Counter

from tests.support.happenings import Happening, happenings
from tests.support.marked_pictures import NUMBERS
from tests.support.surroundings import Surroundings
from tests.support.visit import NOTHING, PRINTED, UNKNOWN, Account, ViolationError, Visit


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

        With a plan, the sitter wants the photo and stays, however often a slow machine shows the same screen.

        Raises
        ------
        ViolationError
            What must hold did not; it says what happened.
        """
        self._sitters += 1
        chance = random.Random(f"{self._seed} {self._sitters}")
        is_planned = plan is not None
        if plan is None:
            plan = happenings(chance, self._around.pace, has_server=self._around.server is not None)
        visit = Visit(self._around, self._sitters % NUMBERS, chance, plan, is_resolute=is_planned)
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
