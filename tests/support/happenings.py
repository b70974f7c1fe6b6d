"""What may happen to a camera, to printers and to a booth in the middle of a session, and how it passes."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from kiosk.core.view.sitter import State
from tests.support.stepped_body import FAULTS
from tests.support.stepped_booth import Surroundings
from tests.support.stepped_camera import SteppedChild
from tests.support.stepped_printers import PROCESSING, MadeUpQueue

OBSTACLES = ("media-empty-error", "cover-open", "marker-supply-empty", "paused", "other")
WHEN: tuple[State, ...] = (
    *("welcome", "privacy", "align", "shooting", "measuring", "review", "printing", "printing", "unprinted"),
    *("collect", "thanks"),
)
LONGEST_S = {"printing": 60.0, "align": 4.0, "review": 4.0, "unprinted": 20.0}
"""How long after the state was entered it may happen; 1.5 s where nothing else is said."""

Mend = tuple[float, Callable[[], object]]


@dataclass(frozen=True)
class Happening:
    """Something that happens so long after a state was entered."""

    what: str
    state: State
    after_s: float
    seed: int

    def strike(self, around: Surroundings) -> Mend | None:
        """Let it happen; return after how many seconds it is to be put right, and how, where somebody must."""
        chance = random.Random(self.seed)
        kind, _, which = self.what.partition(" ")
        if kind == "camera":
            return _to_camera(which, around, chance)
        if kind == "booth":
            around.open_again()
            return None
        if which == "both":
            return _to_both(kind, around.queues, random.Random(self.seed))
        return _to_queue(kind, around.queues[int(which)], chance)


def _to_camera(what: str, around: Surroundings, chance: random.Random) -> Mend | None:
    body = around.body
    match what:
        case "press" | "press held":
            body.press(is_held=what == "press held")
        case "pull":
            body.pull()
            return chance.choice((0.5, 3.0, 20.0)), body.plug
        case "kill":
            for child in SteppedChild.born[-2:]:
                if child.pid == around.booth.camera.pid and not child.is_gone:
                    child.die()
        case _:
            body.late_s = chance.choice((0.5, 3.0, 11.0, 14.0, 30.0))
            body.fail(what)
    return None


def _to_both(kind: str, queues: tuple[MadeUpQueue, MadeUpQueue], chance: random.Random) -> Mend:
    """Let the same happen to both printers, mostly for longer than a sheet is held."""
    mends = [_to_queue(kind, queue, random.Random(0)) for queue in queues]
    return chance.choice((15.0, 100.0, 250.0)), lambda: [mend[1]() for mend in mends if mend is not None]


def _to_queue(what: str, queue: MadeUpQueue, chance: random.Random) -> Mend | None:
    printer = queue.printer
    match what:
        case "obstacle":
            printer.obstacle = chance.choice(OBSTACLES)
            return chance.choice((1.0, 10.0, 40.0, 300.0)), lambda: setattr(printer, "obstacle", "")
        case "jam":
            printer.jam = "media-jam-error"
            return chance.choice((1.0, 10.0, 40.0, 120.0)), lambda: setattr(printer, "jam", "")
        case "cycle":
            if printer.is_on:
                printer.switch_off()
                return chance.choice((0.5, 5.0, 40.0)), printer.switch_on
        case "pause":
            queue.pause()
            return chance.choice((0.5, 5.0, 15.0, 60.0)), queue.resume
        case "reject":
            queue.is_accepting = False
            return chance.choice((5.0, 60.0)), lambda: setattr(queue, "is_accepting", True)
        case "abort":
            printer.gives_up += 1
        case "cancel":
            for job in list(queue.jobs.values()):
                if job.state <= PROCESSING:
                    queue.cancel(job.number)
    return None


CAMERA = tuple(f"camera {what}" for what in (*FAULTS, "press", "press", "press held", "pull", "pull", "kill"))
PRINTERS = (
    *(
        f"{what} {which}"
        for what in ("obstacle", "jam", "cycle", "pause", "abort", "cancel", "reject")
        for which in (0, 1)
    ),
    *(f"{what} both" for what in ("obstacle", "obstacle", "jam", "cycle", "pause")),
)


def happenings(chance: random.Random) -> list[Happening]:
    """Return what happens in one session, which is nothing in some."""
    found = []
    for _ in range(chance.choice((0, 1, 1, 2, 2, 3, 5))):
        kinds = chance.choices((CAMERA, PRINTERS, ("booth",)), (10, 12, 2))[0]
        state = chance.choice(WHEN)
        after_s = chance.random() ** 2 * LONGEST_S.get(state, 1.5)
        found.append(Happening(chance.choice(kinds), state, after_s, chance.getrandbits(32)))
    return found
