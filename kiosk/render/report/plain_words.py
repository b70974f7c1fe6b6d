"""A judgement in the words of a person at a counter: what is wrong with the photo, and what to do about it.

Reasons without a number are those that the booth shows to its sitters. All of it is in English, like the reports.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

from kiosk.core.base.decision import Word
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Assessment, Judgement, Verdict
from kiosk.core.judging.nudge import lacking_words
from kiosk.core.session.quantities import limit_text, quantity
from kiosk.core.session.questions import LOOK_FOR
from kiosk.core.session.remedies import REMEDIES

if TYPE_CHECKING:
    from kiosk.i18n import Words

VERDICTS: Mapping[Verdict, tuple[Word, str]] = {
    "pass": ("pass", "Meets every requirement that was measured"),
    "fail": ("fail", "Does not meet the requirements"),
    "refer": ("refer", "To be judged by a person"),
    "unmeasurable": ("unmeasured", "Could not be measured"),
}

ASKS: Mapping[str, str] = {
    "one_person": "photograph one person alone",
    "look_at_lens": "ask them to look straight at the lens",
    "open_eyes": "ask them to open both eyes",
    "clear_eyes": "ask them to brush hair away from the eyes and face",
    "look_at_light": "ask them to look at the light first, then into the lens",
    "close_mouth": "ask them to close the mouth gently",
    "relax_face": "ask them to relax the face, without a smile",
    "head_free": "ask them to take the hat or hood off",
    "glasses_off": "ask them to take the glasses off",
    "tip_glasses": "ask them to tip the glasses down a little",
    "centre_head": "leave more room around the head, which belongs in the middle of the picture",
    "move_closer": "go closer, or take the photo with more pixels",
    "move_back": "go further back",
    "keep_still": "keep the head and the camera still, and focus on the eyes",
    "clear_background": "use a plain, evenly lit backdrop of the right colour",
    "even_light": "light the face evenly from the front",
    "plain_light": "keep coloured light away from the face",
    "once_more": "use the file as the camera wrote it",
}
"""What a photographer does about each remedy of `REMEDIES`."""

_ASKS_FOR: Mapping[str, str] = {"in_colour": "take it in colour, and leave its colours as they are"}
"""What a photographer does about a requirement for which a sitter can do nothing."""

WORDS: Mapping[Word, str] = {
    "pass": "met",
    "fail": "not met",
    "refer": "to be judged",
    "unmeasured": "not measured",
    "advise": "please look",
}
"""The outcome of a requirement."""

_TURNED: Mapping[str, tuple[str, str]] = {
    "yaw": ("head was turned {size} to its right", "head was turned {size} to its left"),
    "pitch": ("chin was {size} too low", "chin was {size} too high"),
    "roll": ("head leaned {size} to its right", "head leaned {size} to its left"),
    "gaze": ("eyes looked {size} away from the lens", "eyes looked {size} away from the lens"),
}
"""Angles by name, below and above zero, behind the article; left and right are the sitter's own."""

_LENGTHS: Mapping[str, str] = {
    "head_size": "The head is {number} high on the photo",
    "eye_line": "The eyes are {number} above the lower edge",
    "margin_above": "There are {number} above the head",
    "margin_below": "There are {number} below the chin",
    "chin_to_eyes": "From the chin to the eyes it is {number}",
    "eye_distance": "The eyes are {number} apart on the photo",
    "head_width": "The head is {number} wide on the photo",
    "inter_eye_distance": "The eyes are only {number} apart in the picture",
}
"""What was found of each length, before what is asked."""

_CUT: Mapping[str, str] = {
    "margin_above": "The frame cuts {size} off the head",
    "margin_below": "The frame cuts {size} off the chin",
}
"""What is found where a margin is less than none."""

_INSIDE = "inside the allowed colours"
_OF_A_LABORATORY = ("dE", "L*", "a*", "a*b*", "bit", "code")
"""Units of which a number means nothing at a counter."""


def headline(judgement: Judgement, document: Document) -> str:
    """Return the verdict with the document's title, as the first line about a photo."""
    _, words = VERDICTS[judgement.verdict]
    return f"{words[:1].lower()}{words[1:]}: {document.title} ({document.id})"


def faults(judgement: Judgement, document: Document) -> tuple[str, ...]:
    """Return a sentence about each requirement that was not met, with what to do about it, each advice once."""
    sentences, given = list[str](), set[str]()
    for finding in judgement.findings:
        if finding.word == "fail":
            name = finding.measurement.name
            ask = _ASKS_FOR.get(name) or (ASKS[REMEDIES[name]] if name in REMEDIES else "")
            shown = "" if ask in given else ask
            given.add(ask)
            sentences.append(f"{_fault(finding, judgement, document)}{f'; {shown}' if shown else ''}.")
    return tuple(sentences)


def doubts(judgement: Judgement) -> tuple[str, ...]:
    """Return a sentence about each requirement that a person must judge, or that could not be measured.

    What can be seen is asked as the booth asks it, each question once; a number is given where it means something.
    """
    sentences = []
    for finding in judgement.findings:
        name = finding.measurement.name
        if finding.word == "refer" and name in LOOK_FOR:
            seen = f" As measured, {_turned(finding, 'the')}." if name in _TURNED else ""
            sentences.append(f"Please look: {_english().tr(f'look.{LOOK_FOR[name]}')}{seen}")
        elif finding.word == "refer" and finding.measurement.unit in _OF_A_LABORATORY:
            sentences.append(f"{requirement(name)} is for a person to judge: as measured, it is at the limit.")
        elif finding.word == "refer":
            limits = f"{measured_number(finding)}, where {asked_text(finding)} is asked"
            sentences.append(f"{requirement(name)} is for a person to judge: {limits}.")
        elif finding.word == "unmeasured":
            sentences.append(f"{requirement(name)} could not be measured.")
    return tuple(dict.fromkeys(sentences))


def requirement(name: str) -> str:
    """Return the name of a requirement in words, such as "Head turn" for `yaw`."""
    return _english().tr(f"requirement.{name}")


def measured_number(finding: Assessment) -> str:
    """Return the value with its standard uncertainty, unless that rounds to zero, or a dash if there is no value."""
    measurement = finding.measurement
    if measurement.value is None:
        return "–"
    value, words = measurement.value, ""
    if measurement.name == "background_colour":
        if value <= 0:
            return _INSIDE
        words = " outside them"
    number, spread = (quantity(n, measurement.unit) for n in (value, measurement.uncertainty))
    return (f"{number} ± {spread}" if spread != quantity(0.0, measurement.unit) else number) + words


def asked_text(finding: Assessment) -> str:
    """Return the limit, or the rule in words if it has no limit in numbers."""
    if finding.measurement.name == "background_colour":
        return _INSIDE
    text = finding.asked or limit_text(finding.limit, finding.measurement.unit)
    return text.replace("≥", "at least").replace("≤", "at most")


def _fault(finding: Assessment, judgement: Judgement, document: Document) -> str:
    """Return what is wrong as a sentence without its full stop."""
    measurement, name = finding.measurement, finding.measurement.name
    value = measurement.value or 0.0
    if name in _TURNED:
        return _turned(finding, "The")
    if name in _CUT and value < 0:
        return _CUT[name].format(size=quantity(-value, measurement.unit))
    if name in _LENGTHS:
        found = _LENGTHS[name].format(number=quantity(value, measurement.unit))
        return f"{found}, and must be {asked_text(finding)}"
    if name == "resolution":
        return f"The print has only {value:.0f} pixels per inch, and must have {finding.limit.low or 0.0:.0f}"
    if name == "frame_room" and judgement.plan is not None:
        seen = judgement.observation
        lacking = lacking_words(judgement.plan, document, seen.width_px, seen.height_px)
        return f"There was too little room around the head: {lacking}"
    if name == "background_colour":
        colours = " or ".join(colour.name.replace("-", " ") for colour in document.backdrop_colours)
        return f"The background was not {colours}"
    return _english().tr(f"reason.{name}").rstrip(".")


def _turned(finding: Assessment, article: str) -> str:
    """Return where to and how far head or eyes were turned."""
    value = finding.measurement.value or 0.0
    return f"{article} {_TURNED[finding.measurement.name][value > 0].format(size=f'{abs(value):.0f}°')}"


@cache
def _english() -> Words:
    """Return the booth's English words; they are loaded for the first finding that has no words of its own here."""
    from kiosk.i18n import Words

    return Words.load("en")
