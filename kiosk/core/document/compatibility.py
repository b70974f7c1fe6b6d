"""Whether several documents ordered in one sitting can share a shot, or even a print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Literal

from kiosk.core.base.geometry import Range
from kiosk.core.document.background import ColourRegion
from kiosk.core.document.document import Document
from kiosk.core.document.head_fit import VerticalLimits, possible_heads_mm
from kiosk.core.document.limits import range_words
from kiosk.core.document.soundness import LEAST_ABOVE_EYES, MOST_ABOVE_EYES

Compatibility = Literal["one_print", "one_shot", "several_shots"]
Obstacle = Literal["background", "capture", "not_a_print", "size", "head_top", "head_height", "place", "paper"]

_WORDS: dict[Obstacle, str] = {
    "background": "no background suits all of them",
    "capture": "their limits of pose, face or light exclude each other",
    "not_a_print": "not all of them are prints",
    "size": "the prints differ in size",
    "head_top": "the head is measured to the crown for one and to the hair for another",
    "head_height": "no head height suits all of them",
    "place": "no place of the head in the frame suits all of them",
    "paper": "no surface of paper suits all of them",
}
_SAME_MM = 0.05


@dataclass(frozen=True, slots=True)
class Sharing:
    """Whether one shot serves several documents, and whether one print does.

    Attributes
    ----------
    ids
        The documents' ids.
    against_one_shot, against_one_print
        The obstacles; an obstacle to one shot is also one to one print.
    colours
        Background colours that suit all documents.
    head_mm
        Head heights that suit all documents, empty where none does; None where the prints differ in size or in the
        point they measure the head to.
    spectacles
        Whether spectacles may stay on.
    """

    ids: tuple[str, ...]
    against_one_shot: tuple[Obstacle, ...]
    against_one_print: tuple[Obstacle, ...]
    colours: tuple[ColourRegion, ...]
    head_mm: Range | None
    spectacles: bool

    @property
    def answer(self) -> Compatibility:
        """The fewest shots and prints that serve the sitter."""
        if self.against_one_shot:
            return "several_shots"
        return "one_shot" if self.against_one_print else "one_print"

    @property
    def sentence(self) -> str:
        """The answer in plain words."""
        if self.against_one_shot:
            return f"They need a shot each: {_WORDS[self.against_one_shot[0]]}."
        bare = "" if self.spectacles else ", without spectacles"
        if self.against_one_print:
            return f"One shot serves all of them{bare}, cropped for each: {_WORDS[self.against_one_print[0]]}."
        head = "" if self.head_mm is None else f", with a head of {range_words(self.head_mm, 'mm')}"
        return f"One shot and one print serve all of them{bare}{head}."


def share(documents: Sequence[Document]) -> Sharing:
    """Return whether the documents of one sitting can share a shot and a print.

    They can share a shot when one background colour suits all of them and no two capture limits exclude each other;
    each document is then cropped from that shot. They can share a print when, in addition, the print size, the
    definition of head height and the paper agree, and some head height fits every document.
    """
    colours = reduce(_in_both, (document.backdrop_colours for document in documents))
    against_shot: list[Obstacle] = []
    if not colours:
        against_shot.append("background")
    if not _capture_agrees(documents):
        against_shot.append("capture")
    return Sharing(
        ids=tuple(document.id for document in documents),
        against_one_shot=tuple(against_shot),
        against_one_print=(*against_shot, *_against_one_print(documents)),
        colours=colours,
        head_mm=_shared_heads_mm(documents),
        spectacles=all(document.spectacles is None or document.spectacles.allowed for document in documents),
    )


def _in_both(ones: tuple[ColourRegion, ...], others: tuple[ColourRegion, ...]) -> tuple[ColourRegion, ...]:
    shared = (one.intersection(other) for one in ones for other in others)
    return tuple(region for region in shared if region is not None)


def _capture_agrees(documents: Sequence[Document]) -> bool:
    names = {name for document in documents for name in document.capture}
    for name in names:
        limits = (document.capture[name].range for document in documents if name in document.capture)
        if reduce(Range.intersection, limits).is_empty:
            return False
    return True


def _against_one_print(documents: Sequence[Document]) -> list[Obstacle]:
    if any(document.size is None for document in documents):
        return ["not_a_print"]
    if not _same_size(documents):
        return ["size"]
    found: list[Obstacle] = []
    heads = _shared_heads_mm(documents)
    limits = reduce(VerticalLimits.intersection, (document.vertical_limits for document in documents))
    if heads is None:
        found.append("head_top")
    elif heads.is_empty:
        found.append("head_height")
    elif possible_heads_mm(limits, LEAST_ABOVE_EYES, MOST_ABOVE_EYES).is_empty:
        found.append("place")
    surfaces = [set(document.paper.finishes) for document in documents if document.paper is not None]
    if surfaces and not set.intersection(*surfaces):
        found.append("paper")
    return found


def _same_size(documents: Sequence[Document]) -> bool:
    sizes = [document.size_mm for document in documents]
    first = sizes[0]
    return all(max(abs(s.width - first.width), abs(s.height - first.height)) <= _SAME_MM for s in sizes)


def _shared_heads_mm(documents: Sequence[Document]) -> Range | None:
    prints = all(document.size is not None for document in documents)
    tops = {document.head_top.value for document in documents}
    if not prints or len(tops) > 1 or not _same_size(documents):
        return None
    return reduce(Range.intersection, (document.head_height_mm for document in documents))
