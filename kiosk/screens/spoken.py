"""The voice's sentence for a view, as a key without numbers, for which a sound file can exist.

The sentence is always on the screen as well; if it contains a number there, the voice uses a wording without it.
"""

from __future__ import annotations

from kiosk.core.session.instructions import FROM_STILL, Instruction
from kiosk.core.view.sitter import SessionView, State
from kiosk.screens.sitter import copies, take_file
from kiosk.screens.sitter.align import LYING, OTHER_WORDS, SEAT_STAYS, carer_key, seat_key
from kiosk.screens.sitter.overlays import timeout_key
from kiosk.screens.sitter.review import remedy_key, title_key

SUFFIX = ".wav"

TITLES: dict[State, str] = {
    "choose": "choose.title",
    "prepare": "asks.who",
    "privacy": "asks.title",
    "shooting": "instruction.stay",
    "measuring": "instruction.measuring",
    "copies": "copies.title",
    "release": "release.title",
    "paying": "paying.title",
    "printing": "printing.title",
    "unprinted": "unprinted.title",
    "collect": "collect.title",
    "money_back": "money_back.title",
    "thanks": "thanks.title",
    "out_of_order": "out_of_order.title",
}
AT_EVENT: dict[State, str] = {
    "find": "find.title",
    "privacy": "privacy.title",
    "printing": "collect.badge",
    "collect": "collect.badge",
}
"""The keys that apply instead at an event."""
WELCOME = "welcome.text"
_VERDICTS = ("pass", "fail", "refer", "unmeasured")
_NUMBERED = frozenset({Instruction.SIT_HIGHER, Instruction.SIT_LOWER})

KEYS: tuple[str, ...] = (
    *(f"instruction.{key}" for key in (*Instruction, "wait", "stay", "measuring")),
    *(f"seat.{key}{alone}" for key in SEAT_STAYS for alone in ("", "_alone")),
    *dict.fromkeys(f"again.{other}" for key, other in OTHER_WORDS.items() if key not in _NUMBERED),
    *(f"carer.{key}" for key in (*Instruction, "again") if key not in FROM_STILL),
    *(f"lying.{key}" for key in Instruction if key in LYING),
    *(key for state, key in TITLES.items() if state not in ("shooting", "measuring")),
    *dict.fromkeys(AT_EVENT.values()),
    *(f"review.{said}.title" for said in (*_VERDICTS, "doubt", "passed")),
    "review.two",
    "unprinted.stopped",
    WELCOME,
    *("file.title", "file.opening", "file.scan", "file.insert", "file.writing"),
    *take_file.TAKEN.values(),
    *take_file.FAILURES.values(),
    "timeout.title",
    "timeout.unseen",
)
"""All keys that the voice ever says."""


def spoken(view: SessionView) -> str:
    """Return the key to say now, or an empty string.

    The welcome screen speaks into headphones only, so as not to talk to passers-by.
    """
    if view.time_left_s is not None:
        return timeout_key(view)
    if view.state == "welcome" and view.headphones:
        return WELCOME
    if view.state == "align" or view.align.is_waiting:
        return _instruction(view)
    if view.state == "review":
        return remedy_key(view) or title_key(view)
    if view.state == "copies" and copies.is_stopped(view):
        return "unprinted.stopped"
    if view.state == "take_file":
        return take_file.title_key(view.handover)
    return (AT_EVENT if view.event.is_event else {}).get(view.state) or TITLES.get(view.state, "")


def _instruction(view: SessionView) -> str:
    key = view.align.instruction or "wait"
    if view.care != "self" and (carer := carer_key(view)):
        return carer
    if view.ease.seat_stays and key in SEAT_STAYS:
        return seat_key(view, key)
    if view.align.has_other_words and key in OTHER_WORDS and key not in _NUMBERED:
        return f"again.{OTHER_WORDS[key]}"
    return f"instruction.{key}"
