"""What may happen to a camera, to printers and to a booth in the middle of a session, and how it passes."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from kiosk.core.view.sitter import State
from tests.support.pace import USUAL, Pace
from tests.support.surroundings import Queue, Surroundings

OBSTACLES = ("media-empty-error", "cover-open", "marker-supply-empty", "paused", "other")
WHEN: tuple[State, ...] = (
    *("welcome", "privacy", "align", "shooting", "measuring", "review", "printing", "printing", "unprinted"),
    *("collect", "thanks"),
)
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
        chance, pace = random.Random(self.seed), around.pace
        kind, _, which = self.what.partition(" ")
        if kind == "camera":
            return _to_camera(which, around, chance)
        if kind == "booth":
            around.open_again()
            return None
        if kind == "server":
            assert around.server is not None
            around.server.kill()
            return chance.choice(pace.server_off_s), around.server.start
        if which == "both":
            return _to_both(kind, around, random.Random(self.seed))
        return _to_queue(kind, tuple(around.queues)[int(which)], chance, pace)


def _to_camera(what: str, around: Surroundings, chance: random.Random) -> Mend | None:
    body = around.body
    match what:
        case "press" | "press held":
            body.press(is_held=what == "press held")
        case "pull":
            body.pull()
            return chance.choice(around.pace.pulled_s), body.plug
        case "kill":
            around.booth.kill_camera()
        case _:
            body.late_s = chance.choice(around.pace.late_s)
            body.fail(what)
    return None


def _to_both(kind: str, around: Surroundings, chance: random.Random) -> Mend:
    """Let the same happen to both printers, mostly for longer than a sheet is held."""
    mends = [_to_queue(kind, queue, random.Random(0), around.pace) for queue in around.queues]
    return chance.choice(around.pace.both_s), lambda: [mend[1]() for mend in mends if mend is not None]


def _to_queue(what: str, queue: Queue, chance: random.Random, pace: Pace) -> Mend | None:
    match what:
        case "obstacle":
            queue.hinder(chance.choice(OBSTACLES))
            return chance.choice(pace.obstacle_s), lambda: queue.hinder("")
        case "jam":
            queue.jam("media-jam-error")
            return chance.choice(pace.jam_s), lambda: queue.jam("")
        case "cycle":
            if queue.is_on:
                queue.switch_off()
                return chance.choice(pace.off_s), queue.switch_on
        case "pause":
            queue.pause()
            return chance.choice(pace.paused_s), queue.resume
        case "reject":
            queue.accept(False)
            return chance.choice(pace.refused_s), lambda: queue.accept(True)
        case "abort":
            queue.give_up_next()
        case "cancel":
            queue.cancel_all()
    return None


FAULTS = (
    "focus",  # the capture is refused
    "busy_capture",  # the capture finds the camera busy
    "no_object",  # the capture succeeds and no picture comes of it
    "press_at_capture",  # the body's own button is pressed while an ordered picture is taken
    "late_object",  # the capture is told of, and its picture only later
    "stall_capture",  # the capture is never answered
    "stall_late",  # the capture is never answered, and its picture is told of later all the same
    "stall_preview",  # the live frame is never answered
    "truncate",  # the still's second half is missing
    "huge_preview",  # a few live frames say that they are 65535 px wide
    "no_preview",  # a few live frames are no pictures
    "drop_preview",  # the cable is pulled during the live view
    "drop_capture",  # the cable is pulled during the capture
    "drop_download",  # the cable is pulled while the still is read
)
FEW_FRAMES = 3
"""How many live frames arrive damaged at a time: fewer than are a fault."""
CAMERA = tuple(f"camera {what}" for what in (*FAULTS, "press", "press", "press held", "pull", "pull", "kill"))
PRINTERS = (
    *(
        f"{what} {which}"
        for what in ("obstacle", "jam", "cycle", "pause", "abort", "cancel", "reject")
        for which in (0, 1)
    ),
    *(f"{what} both" for what in ("obstacle", "obstacle", "jam", "cycle", "pause")),
)


def times(fault: str) -> int:
    """Return how often a fault of the body comes in a row."""
    return FEW_FRAMES if fault in ("huge_preview", "no_preview") else 1


def happenings(chance: random.Random, pace: Pace = USUAL, *, has_server: bool = False) -> list[Happening]:
    """Return what happens in one session, which is nothing in some."""
    found = []
    for _ in range(chance.choice((0, 1, 1, 2, 2, 3, 5))):
        kinds = chance.choices((CAMERA, PRINTERS, ("booth", *(["server"] * has_server))), (10, 12, 2))[0]
        state = chance.choice(WHEN)
        after_s = chance.random() ** 2 * pace.happens_s.get(state, pace.happens_at_once_s)
        found.append(Happening(chance.choice(kinds), state, after_s, chance.getrandbits(32)))
    return found
