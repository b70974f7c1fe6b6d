"""One document in words: what it asks for first, each rule with its source, its evidence, and the day it was read."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence

from kiosk.catalogue.documents import Catalogue, Source
from kiosk.core.document.confirmation import (
    Confirmation,
    latest,
    questions_for_office,
    unread,
    unverified_geometry,
)
from kiosk.core.document.document import Document
from kiosk.core.document.limits import Provenance
from kiosk.render.report.rule_words import (
    CHANNEL_WORDS,
    EVIDENCE_WORDS,
    binding_words,
    label,
    rule_state_words,
    rule_words,
)

WIDTH = 100
_INDENT = " " * 4


def explain(
    document: Document, catalogue: Catalogue, confirmations: Sequence[Confirmation] = (), *, everything: bool = False
) -> str:
    """Return what one document asks for beyond the limits that all share, with numbered sources at the end.

    Parameters
    ----------
    document, catalogue
        The document as its file has it, and the catalogue that it is from.
    confirmations
        What persons have confirmed; the newest that holds for the document is named.
    everything
        Whether the shared limits follow, each in full.
    """
    shared = {f"capture.{name}" for name, limit in document.capture.items() if catalogue.common.get(name) == limit}
    rules = sorted(document.rules(), key=lambda keyed: keyed[0] in shared)
    shown = [(key, rule) for key, rule in rules if everything or key not in shared]
    names = dict.fromkeys(name for _, rule in shown for name in rule.source)
    numbers = {name: number for number, name in enumerate(names, start=1)}
    binding = None if latest(document, confirmations) else document
    parts = [f"{document.title} ({document.id})\n{document.authority}", *_standing(document, confirmations)]
    variants = catalogue.variants(document)
    if variants:
        titles = "; ".join(f"{one.title} ({one.id})" for one in variants)
        parts.append(_wrap(f"The rules differ by office, state or route; see also: {titles}."))
    parts += [_paragraph(key, rule, binding, numbers) for key, rule in shown if key not in shared]
    count = f"{len(shared)} limits that all documents share"
    if everything:
        parts += [f"The {count}", *(_paragraph(key, rule, binding, numbers) for key, rule in shown if key in shared)]
    else:
        parts.append(_wrap(f"Besides, {count}; --all shows them: {', '.join(_short(key) for key in sorted(shared))}."))
    sources = (citation(number, name, catalogue.sources.get(name)) for name, number in numbers.items())
    parts.append("\n".join(("Sources", *sources)))
    parts.append("The issuing authority decides; its rules change.")
    return "\n\n".join(parts)


def _standing(document: Document, confirmations: Sequence[Confirmation]) -> Iterator[str]:
    """Yield how far the document can be relied on: who confirmed it, what is remembered, borrowed or was not read."""
    confirmation = latest(document, confirmations)
    if confirmation is not None:
        channel = f" From a booth: {CHANNEL_WORDS[confirmation.channel]}." if confirmation.channel else ""
        read = f"Confirmed by {confirmation.by} on {confirmation.on}: {confirmation.source.rstrip('.')}."
        yield _wrap(read + channel)
    unverified = unverified_geometry(document)
    if unverified and confirmation is None:
        keys = ", ".join(_short(key) for key in unverified)
        yield _wrap(f"Hidden from the booth until a person confirms it; known from memory only: {keys}.")
    questions = questions_for_office(document)
    if questions and confirmation is None:
        keys = ", ".join(_short(key) for key in questions)
        yield _wrap(f"To ask the office before it is relied on, not read or borrowed from practice: {keys}.")
    silent = ", ".join(map(_short, unread(document)))
    if silent:
        yield _wrap(f"Not read: {silent}. What the pages do not state is not allowed by that.")


def _short(key: str) -> str:
    return label(key)[:1].lower() + label(key)[1:]


def _paragraph(key: str, rule: Provenance, unsettled: Document | None, numbers: Mapping[str, int]) -> str:
    lines = [f"{label(key)}: {rule_words(rule)}"]
    binding = "" if unsettled is None else binding_words(rule, unsettled)
    if binding:
        lines.append(
            f"{_INDENT}Narrowed to {binding} until a person confirms the document: another source is stricter."
        )
    cited = " ".join(f"[{numbers[name]}]" for name in rule.source)
    added = "".join(f"; {words}" for words in (rule_state_words(rule), rule.note.rstrip(".")) if words)
    lines.append(f"{_INDENT}{cited} {EVIDENCE_WORDS[rule.evidence]}, {rule.read_on}{added}")
    return "\n".join(_wrap(line) for line in lines)


def citation(number: int, name: str, source: Source | None) -> str:
    """Return a numbered source, with its address where it has one."""
    words = [name] if source is None else [source.publisher, source.title, source.url, source.note]
    return _wrap(f"[{number}] " + ", ".join(filter(None, words)))


def _wrap(text: str) -> str:
    return textwrap.fill(
        text, WIDTH, subsequent_indent=_INDENT, drop_whitespace=True, break_long_words=False, break_on_hyphens=False
    )
