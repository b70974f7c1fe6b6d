"""The documents' rules for people and as JSON: each limit with its source, how surely it is known, and when read."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from kiosk.catalogue.documents import Catalogue, Source
from kiosk.core.base.geometry import Size
from kiosk.core.document.background import BackgroundRule
from kiosk.core.document.confirmation import questions_for_office, unverified_geometry
from kiosk.core.document.document import Document
from kiosk.core.document.limits import CaptureLimit, Limit, Provenance, range_words
from kiosk.core.document.requirements import (
    BackRule,
    BorderRule,
    ChannelRule,
    HeadTopRule,
    PaperRule,
    PhotoSize,
    PrintCount,
    SpectaclesRule,
)
from kiosk.core.document.upload import FileSizeRule, FormatRule, PixelRule
from kiosk.render.report.rule_words import (
    CHANNEL_WORDS,
    EVIDENCE_WORDS,
    binding_words,
    label,
    rule_words,
    size_words,
)

WIDTH = 100
_INDENT = " " * 4


def table(documents: Sequence[Document]) -> str:
    """Return a line a document: the photo, the head, whether a booth's photo is taken, and when that was read."""
    titles = ("ID", "PHOTO", "HEAD", "TO", "FROM A BOOTH", "READ ON", "")
    rows = [titles, *(_row(document) for document in documents)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join("  ".join(map(str.ljust, row, widths)).rstrip() for row in rows)


def _row(document: Document) -> tuple[str, ...]:
    if document.size is not None:
        photo = size_words(Size(document.size.width, document.size.height), document.size.unit)
        head = range_words(document.head_height_mm, "mm").replace(" to ", "–")
    else:
        photo = size_words(document.upload.pixels.smallest, "px") if document.upload else ""
        head = range_words(document.head_height_mm.scaled(100 / document.frame_mm.height), "%").replace(" to ", "–")
    return (
        document.id,
        photo,
        head,
        document.head_top.value,
        CHANNEL_WORDS[document.channel.value],
        document.read_on.isoformat(),
        "hidden until confirmed" if unverified_geometry(document) else "",
    )


def explain(document: Document, catalogue: Catalogue) -> str:
    """Return one document's rules, limit by limit, with numbered sources at the end."""
    rules = list(document.rules())
    names = dict.fromkeys(name for _, rule in rules for name in rule.source)
    numbers = {name: number for number, name in enumerate(names, start=1)}
    parts = [f"{document.title} ({document.id})\n{document.authority}"]
    unverified = unverified_geometry(document)
    if unverified:
        keys = ", ".join(label(key).lower() for key in unverified)
        parts.append(_wrap(f"Hidden from the booth until a person confirms it; known from memory only: {keys}."))
    questions = questions_for_office(document)
    if questions:
        keys = ", ".join(label(key).lower() for key in questions)
        parts.append(_wrap(f"To ask the office before it is relied on, not read or borrowed from practice: {keys}."))
    parts += [_paragraph(key, rule, document, numbers) for key, rule in rules]
    sources = (_citation(number, name, catalogue.sources.get(name)) for name, number in numbers.items())
    parts.append("\n".join(("Sources", *sources)))
    parts.append("The issuing authority decides; its rules change.")
    return "\n\n".join(parts)


def _paragraph(key: str, rule: Provenance, document: Document, numbers: Mapping[str, int]) -> str:
    lines = [f"{label(key)}: {rule_words(rule)}"]
    binding = binding_words(rule, document)
    if binding:
        lines.append(f"{_INDENT}The stricter binds until a person confirms the document: {binding}.")
    cited = " ".join(f"[{numbers[name]}]" for name in rule.source)
    note = f"; {rule.note.rstrip('.')}" if rule.note else ""
    lines.append(f"{_INDENT}{cited} {EVIDENCE_WORDS[rule.evidence]}, {rule.read_on}{note}")
    return "\n".join(_wrap(line) for line in lines)


def _citation(number: int, name: str, source: Source | None) -> str:
    words = [name] if source is None else [source.publisher, source.title, source.url, source.note]
    return _wrap(f"[{number}] " + ", ".join(filter(None, words)))


def _wrap(text: str) -> str:
    return textwrap.fill(
        text, WIDTH, subsequent_indent=_INDENT, drop_whitespace=True, break_long_words=False, break_on_hyphens=False
    )


def as_json(document: Document) -> dict[str, Any]:
    """Return one document as `documents --json` prints it; lengths keep the unit that the authority publishes."""
    return {
        "id": document.id,
        "title": document.title,
        "authority": document.authority,
        "country": document.country,
        "channel": document.channel.value,
        "read_on": document.read_on.isoformat(),
        "needs_confirmation": list(unverified_geometry(document)),
        "ask_the_office": list(questions_for_office(document)),
        "limits": [_entry(key, rule) for key, rule in document.rules()],
    }


def _entry(key: str, rule: Provenance) -> dict[str, Any]:
    return {
        "name": key,
        **_value(rule),
        "text": rule_words(rule),
        "source": list(rule.source),
        "evidence": rule.evidence,
        "read_on": rule.read_on.isoformat(),
        "note": rule.note,
    }


def _value(rule: Provenance) -> dict[str, Any]:
    """Return a rule's `value`, or its `min` and `max`, with the `unit`; nothing for one in words alone."""
    found: dict[str, Any] = {}
    match rule:
        case CaptureLimit():
            found = {"min": rule.min, "max": rule.max, "unit": rule.unit}
            found |= {"decision": rule.decision, "consequence": rule.consequence}
        case Limit():
            found = {"min": rule.min, "max": rule.max, "unit": rule.unit}
        case PhotoSize():
            found = {"value": [rule.width, rule.height], "unit": rule.unit}
        case PrintCount():
            found = {"value": rule.count, "unit": "prints"}
        case PixelRule():
            smallest, largest = [rule.min_width, rule.min_height], [rule.max_width, rule.max_height]
            found = {"min": smallest, "max": largest, "unit": "px"}
        case FileSizeRule():
            found = {"min": rule.min_bytes, "max": rule.max_bytes, "unit": "bytes"}
        case FormatRule():
            found = {"value": list(rule.values)}
        case HeadTopRule() | ChannelRule():
            found = {"value": rule.value}
        case BackgroundRule():
            found = {"value": [colour.name for colour in rule.accepted]}
        case SpectaclesRule() | BorderRule():
            found = {"value": rule.allowed}
        case BackRule():
            found = {"value": list(rule.lines)}
        case PaperRule():
            found = {"value": list(rule.finishes)}
    return found
