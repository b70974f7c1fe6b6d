"""From what is seen to the ONE instruction that helps most, in the sitter's own directions.

Each requirement has two limits: it counts as broken beyond the outer one, from which a still would no longer pass by
the limit's rule of decision, and as kept again only within the inner one, so that a number at the limit does not make
the words flicker. Instructions come in the order in which they help: what lasts is put right first, backdrop and light,
then place and pose, and what passes in a moment last. One stays on the screen for at least `MIN_SHOWN_S`, and its
opposite is not shown within `NO_CONTRADICTION_S`.

Words and signs come from one state, which settles: a sign is amber while its requirement is asked for or has been
broken for `SETTLE_S`, and none is while the sitter is asked to hold still.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from kiosk.core.base.decision import Tolerance, Word
from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.document.document import Document
from kiosk.core.judging.framing import Framing, place
from kiosk.core.session.escalation import has_other_words, height_off_cm
from kiosk.core.view.sitter import Check

MIN_SHOWN_S = 1.0
"""No instruction is taken away sooner: time to read four words (practice)."""
NO_CONTRADICTION_S = 2.0
"""An instruction's opposite is not shown sooner than this after it."""
SETTLE_S = 0.4
"""A requirement counts as broken once it has been broken for this long, the longest blink (practice), and as mended
once it has been kept for as long: a number that keeps crossing its limit is asked for (`tests/bench/coach`)."""
PRAISE_S = 1.2
REMEDY_S = 3.0
"""How long the remedy for a failed shot is said before the coach goes on: read, understood and begun (practice)."""
KEEP = 0.7
"""The inner limit, as a share of the distance from the middle to the outer one."""
KEEP_DOUBTFUL = 0.88
"""The same where numbers outside the limits pass as well: a person whose face reads so must not be asked for ever. For
the pitch it is a degree, one and a half times what a live picture's number scatters by."""
BACK = 0.3
"""Hysteresis of a one-sided limit: how far inside the outer one, in standard uncertainties."""
LEAST_HALF = 0.4
"""However uncertain the live picture, this share of a range stays to aim at."""


class Instruction(StrEnum):
    """What the sitter is asked to do; left and right are the sitter's own."""

    SIT_DOWN = "sit_down"
    ONE_PERSON = "one_person"
    MOVE_BACK = "move_back"
    MOVE_CLOSER = "move_closer"
    MOVE_LEFT = "move_left"
    MOVE_RIGHT = "move_right"
    SIT_HIGHER = "sit_higher"
    SIT_LOWER = "sit_lower"
    TURN_LEFT = "turn_left"
    TURN_RIGHT = "turn_right"
    CHIN_UP = "chin_up"
    CHIN_DOWN = "chin_down"
    TILT_LEFT = "tilt_left"
    TILT_RIGHT = "tilt_right"
    OPEN_EYES = "open_eyes"
    CLOSE_MOUTH = "close_mouth"
    RELAX_FACE = "relax_face"
    EVEN_LIGHT = "even_light"
    CLEAR_BACKGROUND = "clear_background"
    LOOK_AT_LENS = "look_at_lens"
    LOOK_AT_LIGHT = "look_at_light"
    TIP_GLASSES = "tip_glasses"
    GLASSES_OFF = "glasses_off"
    CLEAR_EYES = "clear_eyes"
    HEAD_FREE = "head_free"
    KEEP_STILL = "keep_still"
    PLAIN_LIGHT = "plain_light"
    CENTRE_HEAD = "centre_head"
    ONCE_MORE = "once_more"
    HOLD_STILL = "hold_still"


FROM_STILL = (
    Instruction.LOOK_AT_LENS,
    Instruction.LOOK_AT_LIGHT,
    Instruction.TIP_GLASSES,
    Instruction.GLASSES_OFF,
    Instruction.CLEAR_EYES,
    Instruction.HEAD_FREE,
    Instruction.KEEP_STILL,
    Instruction.PLAIN_LIGHT,
    Instruction.CENTRE_HEAD,
    Instruction.ONCE_MORE,
)
"""What is asked only after a shot that failed: the live view does not measure it."""


@dataclass(frozen=True, slots=True)
class _Ask:
    """What to say when a measurement is below or above its limits, and which check it belongs to."""

    name: str
    check: str
    below: Instruction | None
    above: Instruction | None


_I = Instruction
ASKS: tuple[_Ask, ...] = (
    _Ask("background_uniformity", "plain_background", _I.CLEAR_BACKGROUND, _I.CLEAR_BACKGROUND),
    _Ask("illumination_uniformity", "even_light", _I.EVEN_LIGHT, _I.EVEN_LIGHT),
    _Ask("under_exposure_prevention", "even_light", _I.EVEN_LIGHT, _I.EVEN_LIGHT),
    _Ask("over_exposure_prevention", "even_light", _I.EVEN_LIGHT, _I.EVEN_LIGHT),
    _Ask("head_share", "position", _I.MOVE_CLOSER, _I.MOVE_BACK),
    _Ask("eye_x", "position", _I.MOVE_LEFT, _I.MOVE_RIGHT),
    _Ask("eye_y", "position", _I.SIT_LOWER, _I.SIT_HIGHER),
    _Ask("roll", "facing_forward", _I.TILT_LEFT, _I.TILT_RIGHT),
    _Ask("yaw", "facing_forward", _I.TURN_LEFT, _I.TURN_RIGHT),
    _Ask("pitch", "facing_forward", _I.CHIN_UP, _I.CHIN_DOWN),
    _Ask("expression_neutrality", "mouth_closed", _I.RELAX_FACE, _I.RELAX_FACE),
    _Ask("mouth_closed", "mouth_closed", _I.CLOSE_MOUTH, _I.CLOSE_MOUTH),
    _Ask("eyes_open", "eyes_open", _I.OPEN_EYES, None),
)
"""In the order in which they are asked; the picture's right is the sitter's left."""

CHECKS = tuple(dict.fromkeys(ask.check for ask in ASKS))
CHECK_OF = {instruction: ask.check for ask in ASKS for instruction in (ask.below, ask.above) if instruction}
"""The sign that shows whether an instruction has been followed."""

PLACE_TAKING = (_I.SIT_DOWN, _I.ONE_PERSON)
"""What is asked while there is no single face to measure."""

_OPPOSITES = {
    a: b
    for pair in (
        (_I.MOVE_BACK, _I.MOVE_CLOSER),
        (_I.MOVE_LEFT, _I.MOVE_RIGHT),
        (_I.SIT_HIGHER, _I.SIT_LOWER),
        (_I.TURN_LEFT, _I.TURN_RIGHT),
        (_I.CHIN_UP, _I.CHIN_DOWN),
        (_I.TILT_LEFT, _I.TILT_RIGHT),
    )
    for a, b in (pair, pair[::-1])
}


@dataclass(frozen=True, slots=True)
class Fault:
    """A requirement that is not met.

    Attributes
    ----------
    ask
        What would mend it.
    since_s, last_s
        When it was first and last seen broken in the direction that `ask` mends.
    stood
        Whether it had settled before, in either direction.
    """

    ask: Instruction
    since_s: float
    last_s: float
    stood: bool = False

    @property
    def is_settled(self) -> bool:
        """Whether it has lasted long enough to be said."""
        return self.last_s - self.since_s >= SETTLE_S

    @property
    def stands(self) -> bool:
        """Whether its sign is amber."""
        return self.stood or self.is_settled


@dataclass(frozen=True, slots=True)
class Advice:
    """What the coach has seen and says.

    Attributes
    ----------
    instruction, since_s
        What is on the screen, and since when; None until something has been seen for long enough, and where the only
        thing to say would contradict what was just said.
    seen_s
        When the newest picture was seen.
    broken
        By measurement name, what is broken in the newest picture or was so less than `SETTLE_S` before.
    checks
        The live requirements for the screen.
    remedy
        What would mend the shot before, until it has been said for `REMEDY_S`.
    praised, praise_until_s
        The check that has turned right because of an instruction, and until when this is praised.
    last_shown
        When each instruction was last on the screen.
    height_off_cm
        By how much the eye line is too low (negative: too high); kept as it is while other words name it.
    """

    instruction: Instruction | None = None
    since_s: float = float("-inf")
    seen_s: float = float("-inf")
    broken: Mapping[str, Fault] = field(default_factory=dict)
    checks: tuple[Check, ...] = tuple(Check(key, "unmeasured") for key in CHECKS)
    remedy: Instruction | None = None
    praised: str = ""
    praise_until_s: float = float("-inf")
    last_shown: Mapping[Instruction, float] = field(default_factory=dict)
    height_off_cm: int = 0

    @property
    def says_remedy(self) -> bool:
        """Whether the instruction on the screen is about the shot before."""
        return self.instruction is not None and self.instruction is self.remedy

    @property
    def broken_now(self) -> set[str]:
        """What is broken in the newest picture."""
        return {name for name, fault in self.broken.items() if fault.last_s >= self.seen_s}

    @property
    def all_kept(self) -> bool:
        """Whether every live requirement is met right now."""
        return self.instruction is Instruction.HOLD_STILL and not self.broken_now


def live_limits(document: Document, where: Framing) -> dict[str, Tolerance]:
    """Return the limits that coaching leads to: the document's limits of capture, and the place of the head.

    What is advice is not asked for: nobody is kept from a photo by it.
    """
    asked = {name: limit.tolerance for name, limit in document.capture.items() if limit.consequence != "advise"}
    places = {"head_share": where.head, "eye_x": where.eye_x, "eye_y": where.eye_y}
    return {**asked, **{name: Tolerance(place, "simple") for name, place in places.items()}}


def unseen(limits: Mapping[str, Tolerance], remedy: Instruction | None = None) -> Advice:
    """Return the advice before anything has been seen; only what has a limit is asked, after the remedy."""
    return Advice(checks=tuple(Check(key, "unmeasured") for key in _asked_checks(limits)), remedy=remedy)


def advise(before: Advice, seen: Observation, limits: Mapping[str, Tolerance], now_s: float) -> Advice:
    """Return the advice after one more live picture.

    Parameters
    ----------
    before
        The advice until now; `Advice()` at the start.
    seen
        What was seen in the newest picture.
    limits
        From `live_limits`.
    now_s
        Monotonic seconds, not earlier than before.
    """
    broken = dict(_broken(before, seen, limits, now_s))
    shown = dict(before.last_shown)
    if before.instruction is not None:
        shown[before.instruction] = now_s
    off_cm = (
        before.height_off_cm if has_other_words(before.since_s, now_s) else height_off_cm(seen, limits["eye_y"].range)
    )
    advice = replace(before, seen_s=now_s, broken=broken, last_shown=shown, height_off_cm=off_cm)
    chosen = _choose(before, broken, shown, now_s)
    if chosen is not before.instruction and now_s - before.since_s >= MIN_SHOWN_S:
        followed = None if before.says_remedy else before.instruction
        remedy = advice.remedy if chosen is advice.remedy else None
        advice = _praised(replace(advice, instruction=chosen, since_s=now_s, remedy=remedy), followed)
    return _unless_amber(replace(advice, checks=_checks(advice, limits)))


def _praised(advice: Advice, followed: Instruction | None) -> Advice:
    """Return new advice with praise for the instruction before it, where that one has a sign to turn green."""
    check = "" if followed is None else CHECK_OF.get(followed, "")
    return replace(advice, praised=check, praise_until_s=advice.since_s + PRAISE_S)


def _unless_amber(advice: Advice) -> Advice:
    """Return the advice without praise for a check that is not right."""
    right = Check(advice.praised, "pass") in advice.checks
    return advice if right else replace(advice, praised="", praise_until_s=float("-inf"))


def _broken(
    before: Advice, seen: Observation, limits: Mapping[str, Tolerance], now_s: float
) -> Iterator[tuple[str, Fault]]:
    """Yield what is broken now or was so lately, in the order of asking."""
    asked = dict(_asked(before, seen, limits))
    for name in ("face", *(ask.name for ask in ASKS)):
        ask, previous = asked.get(name), before.broken.get(name)
        if ask is not None:
            since_s = previous.since_s if previous is not None and previous.ask is ask else now_s
            yield name, Fault(ask, since_s, now_s, stood=previous is not None and previous.stands)
        elif previous is not None and now_s - previous.last_s < SETTLE_S:
            yield name, previous


def _asked(before: Advice, seen: Observation, limits: Mapping[str, Tolerance]) -> Iterator[tuple[str, Instruction]]:
    """Yield each requirement that is not met, with what would mend it."""
    if seen.points is None:
        yield "face", Instruction.ONE_PERSON if seen.faces > 1 else Instruction.SIT_DOWN
        return
    measured = {**seen.measurements, **place(seen.points, seen.width_px, seen.height_px)}
    broken = before.broken_now
    for ask in ASKS:
        measurement, limit = measured.get(ask.name), limits.get(ask.name)
        if measurement is None or measurement.value is None or limit is None:
            continue
        allowed = _aim(measurement, limit, strict=ask.name in broken)
        if ask.below is not None and allowed.low is not None and measurement.value < allowed.low:
            yield ask.name, ask.below
        elif ask.above is not None and allowed.high is not None and measurement.value > allowed.high:
            yield ask.name, ask.above


def _aim(measurement: Measurement, limit: Tolerance, *, strict: bool) -> Range:
    """Return the outer range, or the inner one that a broken requirement must come back to.

    The outer range is what passes with the live picture's standard uncertainty.
    """
    accepted, width = limit.accepted(measurement.uncertainty), limit.range.width
    if width is not None and accepted.width is not None:
        half = max(accepted.width / 2, LEAST_HALF * width / 2)
        if strict:
            half *= KEEP_DOUBTFUL if limit.decision == "benefit_of_doubt" else KEEP
        return Range(limit.range.middle - half, limit.range.middle + half)
    back = BACK * measurement.uncertainty if strict else 0.0
    low, high = accepted.low, accepted.high
    return Range(None if low is None else low + back, None if high is None else high - back)


def _choose(
    before: Advice,
    broken: Mapping[str, Fault],
    shown: Mapping[Instruction, float],
    now_s: float,
) -> Instruction | None:
    """Return what to say next: the remedy for the last shot, the instruction on the screen until followed, the next."""
    settled = [fault.ask for fault in broken.values() if fault.is_settled]
    is_due = before.instruction is None or (before.says_remedy and now_s - before.since_s < REMEDY_S)
    if before.remedy is not None and is_due and (not settled or settled[0] not in PLACE_TAKING):
        return before.remedy
    if not broken:
        return Instruction.HOLD_STILL
    if before.instruction in settled and settled[0] not in PLACE_TAKING:
        return before.instruction
    for ask in settled:
        opposite = _OPPOSITES.get(ask)
        if opposite is None or now_s - shown.get(opposite, float("-inf")) >= NO_CONTRADICTION_S:
            return ask
    return None if settled else before.instruction


def _asked_checks(limits: Mapping[str, Tolerance]) -> tuple[str, ...]:
    """Return the checks of which something is asked."""
    return tuple(dict.fromkeys(ask.check for ask in ASKS if ask.name in limits))


def _checks(advice: Advice, limits: Mapping[str, Tolerance]) -> tuple[Check, ...]:
    """Return the live requirements as the sitter sees them, without what the rules for the age lift."""
    standing = [name for name, fault in advice.broken.items() if fault.stands]
    is_settling = advice.says_remedy and advice.seen_s - advice.since_s < SETTLE_S
    if (advice.instruction is None or is_settling) and not standing:
        return advice.checks
    holds, is_alone = advice.instruction is Instruction.HOLD_STILL, advice.instruction not in PLACE_TAKING
    amber = {ask.check for ask in ASKS if ask.name in standing}
    if advice.instruction is not None:
        amber.add(CHECK_OF.get(advice.instruction, ""))

    def word(key: str) -> Word:
        if holds:
            return "pass"
        if not is_alone or "face" in standing:
            return "unmeasured"
        return "fail" if key in amber else "pass"

    return tuple(Check(key, word(key)) for key in _asked_checks(limits))
