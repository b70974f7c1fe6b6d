"""The documents' rules as JSON, for programs: as published, and as they bind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from kiosk.core.base.geometry import Range
from kiosk.core.document.background import BackgroundRule
from kiosk.core.document.confirmation import (
    Confirmation,
    is_trusted,
    latest,
    questions_for_office,
    settled,
    unverified_geometry,
)
from kiosk.core.document.document import Document
from kiosk.core.document.limits import CaptureLimit, Limit, Provenance
from kiosk.core.document.requirements import (
    BackRule,
    BorderRule,
    ChannelRule,
    CoveringRule,
    CropRule,
    DeliveryRule,
    HeadTopRule,
    MonochromeRule,
    PaperRule,
    PhotoSize,
    PrintCount,
    ScanRule,
    SmileRule,
    SpectaclesRule,
    VisibleRule,
)
from kiosk.core.document.upload import FileSizeRule, FormatRule, PixelRule
from kiosk.render.report.rule_words import binding_words, rule_words

_IN_MM = ("head_height", "head_width", "eye_line", "margin_above", "margin_below", "chin_to_eyes", "eye_distance")


def as_json(document: Document, confirmations: Sequence[Confirmation] = ()) -> dict[str, Any]:
    """Return one document as `documents --json` prints it.

    `limits` keep the authority's unit; `binding` has what a photo is judged by, in millimetres of `frame_mm`.
    """
    confirmation, binding = latest(document, confirmations), settled(document, confirmations)
    frame = document.frame_mm
    return {
        "id": document.id,
        "title": document.title,
        "authority": document.authority,
        "country": document.country,
        "kinds": list(document.kinds),
        "variant_of": document.variant_of,
        "channel": binding.channel.value,
        "read_on": document.read_on.isoformat(),
        "confirmed": confirmation.model_dump(mode="json", exclude={"document"}) if confirmation else None,
        "hidden": not is_trusted(document, confirmations),
        "needs_confirmation": list(unverified_geometry(document)),
        "beyond_booth": document.is_beyond_booth,
        "ask_the_office": list(questions_for_office(document)),
        "frame_mm": [frame.width, frame.height],
        "aspect": frame.width / frame.height,
        "binding": _binding(binding),
        "ages": list(_ages(binding)),
        "limits": [_entry(key, rule, None if confirmation else document) for key, rule in document.rules()],
    }


def _binding(document: Document) -> dict[str, Any]:
    """Return the lengths that a photo is judged by, and its colours of background."""
    frame = document.frame_mm
    lengths = {name: rule.range_mm(frame) for name in _IN_MM if (rule := getattr(document, name)) is not None}
    if document.eye_line_mm is not None:
        lengths["eye_line"] = document.eye_line_mm
    if document.face_centre_share is not None:
        lengths["face_centre"] = document.face_centre_share.scaled(frame.width)
    in_mm = {name: _ends(lengths[name]) for name in lengths}
    return {**in_mm, "background": [colour.name for colour in document.backdrop_colours]}


def _ages(document: Document) -> Iterator[dict[str, Any]]:
    """Yield each span of ages in completed years, with what binds and which limits of capture are not judged."""
    for start, end in pairwise((*document.ages, None)):
        if start is not None:
            relaxed = document.for_age(start)
            lifted = [name for name in document.capture if name not in relaxed.capture]
            yield {
                "from_years": start,
                "below_years": end,
                "frame_mm": [relaxed.frame_mm.width, relaxed.frame_mm.height],
                "binding": _binding(relaxed),
                "lifted": lifted,
            }


def _ends(limit: Range) -> dict[str, Any]:
    return {"min": limit.low, "max": limit.high, "unit": "mm"}


def _entry(key: str, rule: Provenance, unsettled: Document | None) -> dict[str, Any]:
    return {
        "name": key,
        **_value(rule),
        "text": rule_words(rule),
        "source": list(rule.source),
        "evidence": rule.evidence,
        "read_on": rule.read_on.isoformat(),
        "effective_from": rule.effective_from.isoformat() if rule.effective_from else None,
        "superseded": rule.superseded,
        "narrowed": unsettled is not None and bool(binding_words(rule, unsettled)),
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
            found = {"min": smallest, "max": largest, "unit": "px", "aspect": rule.aspect}
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
        case BorderRule() | SmileRule() | MonochromeRule() | ScanRule() | CropRule():
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
