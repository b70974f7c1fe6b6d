"""From one step of the session to the facts that it leaves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kiosk.core.session.commands import Command, Wipe
from kiosk.core.session.events import CallAnswered, Event, Failed, Measured, Mended, Overridden, Released, ShotFailed
from kiosk.core.session.facts import (
    Attended,
    ConsentGiven,
    DocumentChosen,
    Fact,
    FaultBegan,
    FaultsMended,
    LanguageChosen,
    SessionBegan,
    SessionEnded,
    ShotJudged,
    ShotLost,
    VerdictOverridden,
)
from kiosk.core.session.state import Session


def facts_of(before: Session, event: Event, after: Session, commands: Iterable[Command]) -> Iterator[Fact]:
    """Yield what the step from `before` to `after` leaves, in order.

    Parameters
    ----------
    before, after
        The session around the step.
    event
        What it took in.
    commands
        What it asked of the devices.
    """
    ways = (before.state, after.state)
    if ways in (("welcome", "choose"), ("welcome", "find")):
        yield SessionBegan(after.language)
    elif before.language != after.language and "welcome" not in ways:
        yield LanguageChosen(after.language)
    if ways in (("choose", "prepare"), ("choose", "privacy"), ("find", "privacy")) and after.document is not None:
        yield DocumentChosen(after.document.id)
    if ways == ("privacy", "align"):
        yield ConsentGiven()
    if before.state in ("shooting", "measuring"):
        yield from _shots(before, event, after)
    match before.state, event:
        case "review", Overridden(reason) if before.still != after.still:
            yield VerdictOverridden(reason)
        case "release", Released() if after.state == "printing":
            yield Attended("prints_released")
        case _, CallAnswered() if before.called:
            yield Attended("sitter_helped")
        case _, Failed(key=key):
            yield FaultBegan(key)
        case "out_of_order", _ if after.state != "out_of_order":
            yield FaultsMended()
        case _, Mended() if before.news is not None and after.news is None:
            yield FaultsMended()
    yield from (SessionEnded(command.ending) for command in commands if isinstance(command, Wipe))


def _shots(before: Session, event: Event, after: Session) -> Iterator[Fact]:
    """Yield that a still was lost, and how the best of a burst was judged when the last was measured."""
    if isinstance(event, ShotFailed) and (before.burst, before.state) != (after.burst, after.state):
        yield ShotLost(before.shot)
    if isinstance(event, Measured | ShotFailed) and after.judged is not None and after.judged is not before.judged:
        judgement = after.judged
        words = tuple((finding.measurement.name, finding.word) for finding in judgement.findings)
        yield ShotJudged(before.shot, judgement.verdict, words)
