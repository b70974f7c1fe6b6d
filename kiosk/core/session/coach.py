"""From what is seen to the ONE instruction that helps most, in the sitter's own directions.

Each requirement has two limits: it counts as broken beyond the outer one, from which a still would no longer pass by
the limit's rule of decision, and as kept again only within the inner one, so that a number at the limit does not make
the words flicker. Instructions come in the order in which they help: what lasts is put right first, backdrop and light,
then place and pose, and what passes in a moment last. One stays on the screen for at least `MIN_SHOWN_S`, and its
opposite is not shown within `NO_CONTRADICTION_S`. One that has no effect within `UNANSWERED_S` lets the others pass,
because light and backdrop may only look wrong from where the sitter is; from then on its requirement is held to what is
not surely wrong, and the still decides.

Words and signs come from one state, which settles: a sign is amber while its requirement is asked for or has been
broken for `SETTLE_S`, and none is while the sitter is asked to hold still.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from kiosk.core.base.decision import Tolerance, Word
from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.document.document import Document
from kiosk.core.judging.framing import Framing, place
from kiosk.core.session.advice import SETTLE_S, Advice, Fault
from kiosk.core.session.escalation import has_other_words, height_off_cm
from kiosk.core.session.instructions import ASKS, CHECK_OF, OPPOSITES, PLACE_TAKING, Instruction
from kiosk.core.view.align import Check

MIN_SHOWN_S = 1.0
"""No instruction is taken away sooner: time to read four words (practice)."""
NO_CONTRADICTION_S = 2.0
"""An instruction's opposite is not shown sooner than this after it."""
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
OWN_OPENING = 0.75
"""The share of their own widest opening at which a sitter's eyes count as open in the live view, if the still would not
surely refuse them: open eyes stay above it between blinks (a standard deviation of 0.12, `EYES_OPEN_SD`), and lids that
are half down fall below it."""
LIGHT = (
    "background_uniformity",
    "illumination_uniformity",
    "under_exposure_prevention",
    "over_exposure_prevention",
)
"""What depends on the light, of what is measured in the live picture."""
LEAST_HALF = 0.4
"""However uncertain the live picture, this share of a range stays to aim at."""


def live_limits(document: Document, where: Framing, *, by_flash: bool = False) -> dict[str, Tolerance]:
    """Return the limits that coaching leads to: the document's limits of capture, and the place of the head.

    What is advice is not asked for: nobody is kept from a photo by it. Nor is the light, where the still has another:
    that of a flash.
    """
    asked = {name: limit.tolerance for name, limit in document.capture.items() if limit.consequence != "advise"}
    if by_flash:
        asked = {name: limit for name, limit in asked.items() if name not in LIGHT}
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
    if before.is_unanswered(now_s) and before.instruction is not None:
        before = replace(before, in_vain=before.in_vain | {before.instruction})
    advice = replace(
        before,
        seen_s=now_s,
        broken=broken,
        last_shown=shown,
        height_off_cm=off_cm,
        eyes_widest=max(before.eyes_widest, _opening(seen)),
    )
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
        allowed, unrefused = (
            _aim(measurement, limit, strict=ask.name in broken),
            limit.unrefused(measurement.uncertainty),
        )
        if not before.in_vain.isdisjoint((ask.below, ask.above)):
            allowed = unrefused
        elif ask.name == "eyes_open":
            allowed = _for_these_eyes(allowed, unrefused, before.eyes_widest)
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


def _opening(seen: Observation) -> float:
    """Return how far the eyes are open, or 0 where they are not seen."""
    opening = seen.measurements.get("eyes_open")
    return 0.0 if opening is None or opening.value is None else opening.value


def _for_these_eyes(allowed: Range, unrefused: Range, widest: float) -> Range:
    """Return the range for eyes that are narrow or old even when open: a share of their own opening."""
    if allowed.low is None or unrefused.low is None:
        return allowed
    return replace(allowed, low=min(allowed.low, max(unrefused.low, OWN_OPENING * widest)))


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
    if before.instruction in settled and settled[0] not in PLACE_TAKING and not before.is_unanswered(now_s):
        return before.instruction
    for ask in sorted(settled, key=lambda ask: shown[ask] if ask in before.in_vain else float("-inf")):
        opposite = OPPOSITES.get(ask)
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
