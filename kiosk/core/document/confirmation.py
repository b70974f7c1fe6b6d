"""Which documents a booth may offer: what is only remembered waits for a person who has read it.

A document whose sizes rest on memory is hidden. One whose sizes are borrowed from practice, or of which nobody has read
whether a booth's photo is taken, is offered with the notice to ask the office; a confirmation may answer that too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from pydantic import Field

from kiosk.core.document.document import Document
from kiosk.core.document.limits import Evidence, Model, Provenance
from kiosk.core.document.requirements import Channel

RULES_LAST_DAYS = 365
"""How long rules count as current where a shop sets no limit of its own: authorities change them without notice, so the
source is reread yearly (practice)."""

OFTEN_STATED = ("spectacles", "covering", "visible", "smile", "face_centre", "recency")
"""Of what an authority may speak and often does not; the reader must not take silence for leave."""

_WEAKER: tuple[Evidence, ...] = ("primary", "measured", "computed", "quoted", "practice", "memory")


class Confirmation(Model):
    """A person's statement that the document's file agrees with the authority's own text."""

    document: str = Field(min_length=1)
    by: str = Field(min_length=1)
    on: date
    source: str = Field(min_length=1)
    channel: Channel | None = None
    """What the authority says of photos from a booth, where it was asked."""


def unverified_geometry(document: Document) -> tuple[str, ...]:
    """Return the keys of binding geometry for which memory is the only evidence.

    Binding is what no photo can be cut without: the print's size and the upload's pixels, the head height, and the top
    of the head it is measured to. A remembered limit beyond these only narrows what the verified ones allow.
    """
    return tuple(key for key, rule in _sizes(document) if rule.evidence == "memory")


def weakest_evidence(document: Document) -> Evidence:
    """Return how the least well known of the sizes is known that no photo can be cut without."""
    return max((rule.evidence for _, rule in _sizes(document)), key=_WEAKER.index)


def _sizes(document: Document) -> Iterator[tuple[str, Provenance]]:
    binding = {"head_top", *(key for key, _ in document.geometry())}
    return ((key, rule) for key, rule in document.rules() if key in binding)


def questions_for_office(document: Document) -> tuple[str, ...]:
    """Return the keys that an office should be asked about: a channel nobody has read, sizes borrowed from practice.

    A document made to no authority's rules, such as a badge, leaves nothing to ask.
    """
    if document.channel.evidence == "practice" and document.channel.value == "self_service":
        return ()
    open_channel = document.channel.value == "unconfirmed" or document.channel.evidence == "memory"
    borrowed = [key for key, rule in document.geometry() if rule.evidence == "practice"]
    return (*(["channel"] if open_channel else []), *borrowed)


def unread(document: Document) -> tuple[str, ...]:
    """Return the keys of rules that authorities often have, and of which no page that was read says anything."""
    return tuple(key for key in OFTEN_STATED if getattr(document, key) is None)


def is_confirmed(document: Document, confirmations: Iterable[Confirmation]) -> bool:
    """Return whether a person has confirmed the document since the last of its own rules was read."""
    return any(each.document == document.id and each.on >= last_read(document) for each in confirmations)


def last_read(document: Document) -> date:
    """Return the day on which the newest of the document's own rules was read: an earlier confirmation misses it.

    The limits of capture are the program's own, and no authority's page is compared with them.
    """
    return max(rule.read_on for key, rule in document.rules() if not key.startswith("capture."))


def is_trusted(document: Document, confirmations: Iterable[Confirmation]) -> bool:
    """Return whether a booth may offer the document."""
    return not unverified_geometry(document) or is_confirmed(document, confirmations)


def settled(document: Document, confirmations: Iterable[Confirmation]) -> Document:
    """Return the document as it binds: once confirmed, its own values hold and contradicting sources are dropped.

    The latest confirmation that speaks of the channel decides what the sitter reads of it.
    """
    valid = [each for each in confirmations if is_confirmed(document, (each,))]
    if not valid:
        return document
    answered = [each.channel for each in sorted(valid, key=lambda each: each.on) if each.channel is not None]
    channel = document.channel.model_copy(update={"value": answered[-1]}) if answered else document.channel
    contradicted: dict[str, object] = {
        name: rule.model_copy(update={"contradicted_by": ()})
        for name in type(document).model_fields
        if getattr(rule := getattr(document, name), "contradicted_by", ())
    }
    return document.model_copy(update={**contradicted, "channel": channel})


def latest(document: Document, confirmations: Iterable[Confirmation]) -> Confirmation | None:
    """Return the newest confirmation that holds for the document, or None."""
    valid = [each for each in confirmations if is_confirmed(document, (each,))]
    return max(valid, key=lambda each: each.on, default=None)


def with_confirmation(confirmations: Sequence[Confirmation], new: Confirmation) -> tuple[Confirmation, ...]:
    """Return the confirmations after a new one, without those that no longer say anything of their own."""
    if any(old.on > new.on and _covers(old, new) for old in confirmations):
        return tuple(confirmations)
    return (*(old for old in confirmations if old.on > new.on or not _covers(new, old)), new)


def _covers(one: Confirmation, other: Confirmation) -> bool:
    """Return whether one confirmation says everything that another of the same document does."""
    return one.document == other.document and (one.channel is not None or other.channel is None)


def current_on(document: Document, confirmations: Iterable[Confirmation]) -> date:
    """Return the day on which all rules were last known to hold: when they were read, or confirmed later."""
    confirmation = latest(document, confirmations)
    return document.read_on if confirmation is None else confirmation.on


def is_stale(document: Document, confirmations: Iterable[Confirmation], today: date, days: int) -> bool:
    """Return whether more than so many days have passed since somebody read or confirmed all of the rules."""
    return (today - current_on(document, confirmations)).days > days
