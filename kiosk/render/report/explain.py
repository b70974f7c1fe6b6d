"""The documents' rules as text and as JSON: each limit with its source, its evidence, and the day it was read."""

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
    CoveringRule,
    DeliveryRule,
    HeadTopRule,
    MonochromeRule,
    PaperRule,
    PhotoSize,
    PrintCount,
    SmileRule,
    SpectaclesRule,
    VisibleRule,
)
from kiosk.core.document.upload import FileSizeRule, FormatRule, PixelRule
from kiosk.render.report.rule_words import (
    CHANNEL_WORDS,
    EVIDENCE_WORDS,
    binding_words,
    label,
    rule_state_words,
    rule_words,
    size_words,
)

WIDTH = 100
_INDENT = " " * 4
_STATED = ("spectacles", "covering", "visible", "smile", "face_centre", "recency")
"""Of what an authority may speak and often does not; the reader must not take silence for leave."""


def table(documents: Sequence[Document]) -> str:
    """Return one line per document: photo, head height, whether booth photos are accepted, and the day it was read."""
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
    """Return the rules of one document, limit by limit, with numbered sources at the end."""
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
    variants = catalogue.variants(document)
    if variants:
        titles = "; ".join(f"{one.title} ({one.id})" for one in variants)
        parts.append(_wrap(f"The rules differ by office, state or route; see also: {titles}."))
    parts += [_paragraph(key, rule, document, numbers) for key, rule in rules]
    silent = [label(key).lower() for key in _STATED if getattr(document, key) is None]
    if silent:
        parts.append(_wrap(f"Not stated where it was read, which does not mean allowed: {', '.join(silent)}."))
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
    added = "".join(f"; {words}" for words in (rule_state_words(rule), rule.note.rstrip(".")) if words)
    lines.append(f"{_INDENT}{cited} {EVIDENCE_WORDS[rule.evidence]}, {rule.read_on}{added}")
    return "\n".join(_wrap(line) for line in lines)


def _citation(number: int, name: str, source: Source | None) -> str:
    words = [name] if source is None else [source.publisher, source.title, source.url, source.note]
    return _wrap(f"[{number}] " + ", ".join(filter(None, words)))


def _wrap(text: str) -> str:
    return textwrap.fill(
        text, WIDTH, subsequent_indent=_INDENT, drop_whitespace=True, break_long_words=False, break_on_hyphens=False
    )


def as_json(document: Document) -> dict[str, Any]:
    """Return one document as `documents --json` prints it; lengths keep the authority's unit."""
    return {
        "id": document.id,
        "title": document.title,
        "authority": document.authority,
        "country": document.country,
        "variant_of": document.variant_of,
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
        "effective_from": rule.effective_from.isoformat() if rule.effective_from else None,
        "superseded": rule.superseded,
        "note": rule.note,
    }


def _value(rule: Provenance) -> dict[str, Any]:
    """Return a rule's `value`, or its `min` and `max`, with the `unit`; empty for a rule in words only."""
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
        case _:
            found = _choice(rule)
    return found


def _choice(rule: Provenance) -> dict[str, Any]:
    """Return what a rule in words chooses from a list, where it does."""
    match rule:
        case BackgroundRule():
            return {"value": [colour.name for colour in rule.accepted]}
        case SpectaclesRule():
            return {"value": rule.allowed, "better_off": rule.better_off}
        case BorderRule() | SmileRule() | MonochromeRule():
            return {"value": rule.allowed}
        case CoveringRule():
            return {"value": list(rule.worn_for)}
        case VisibleRule():
            return {"value": list(rule.parts)}
        case DeliveryRule():
            return {"value": list(rule.by), "beyond_booth": rule.is_beyond_booth}
        case BackRule():
            return {"value": list(rule.lines)}
        case PaperRule():
            return {"value": list(rule.finishes)}
    return {}
