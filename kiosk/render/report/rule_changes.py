"""What differs between two sets of rules, in plain words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from kiosk.catalogue.documents import Catalogue
from kiosk.core.document.document import Document
from kiosk.core.document.limits import CaptureLimit, Provenance
from kiosk.render.report.rule_words import EVIDENCE_WORDS, label, rule_words

_INDENT = "    "
_HEAD_KEYS = ("title", "authority", "country", "kinds", "variant_of")


def changes(old: Catalogue, new: Catalogue) -> Iterator[str]:
    """Yield the differences, a paragraph per document: what it asks for now and what before."""
    shared = list(_rule_changes(_shared(old.common), _shared(new.common)))
    if shared:
        yield "\n".join(["All documents", *shared])
    for name in sorted({*old.documents, *new.documents}):
        before, after = old.documents.get(name), new.documents.get(name)
        if before is None or after is None:
            one = before or after
            assert one is not None
            yield f"{name}: {one.title}: {'new' if before is None else 'no longer there'}"
        else:
            lines = [*_head_changes(before, after), *_rule_changes(_own(before, old), _own(after, new))]
            if lines:
                yield "\n".join([f"{name}: {after.title}", *lines])


def _shared(limits: Mapping[str, CaptureLimit]) -> dict[str, Provenance]:
    return {f"capture.{name}": limit for name, limit in limits.items()}


def _own(document: Document, catalogue: Catalogue) -> dict[str, Provenance]:
    """Return a document's rules without the limits that all share."""
    return {
        key: rule
        for key, rule in document.rules()
        if not key.startswith("capture.") or catalogue.common.get(key.removeprefix("capture.")) != rule
    }


def _head_changes(old: Document, new: Document) -> Iterator[str]:
    for key in _HEAD_KEYS:
        before, after = getattr(old, key), getattr(new, key)
        if before != after:
            yield f"{_INDENT}{key.replace('_', ' ').capitalize()}: {after or 'none'}, before: {before or 'none'}"


def _rule_changes(old: Mapping[str, Provenance], new: Mapping[str, Provenance]) -> Iterator[str]:
    """Yield a line per rule that differs; those that were only read again share one."""
    read_again = []
    for key in dict.fromkeys((*new, *old)):
        before, after = old.get(key), new.get(key)
        if before == after:
            continue
        if before is not None and after is not None and rule_words(before) == rule_words(after):
            read_again.append(_where(key))
            continue
        now = "no longer asked" if after is None else rule_words(after)
        was = "not asked" if before is None else rule_words(before)
        known = "" if after is None else f" ({EVIDENCE_WORDS[after.evidence]}, {after.read_on})"
        yield f"{_INDENT}{_where(key)}: {now}{known}; before: {was}"
    if read_again:
        yield f"{_INDENT}Asked as before, with another source, day or note: {', '.join(dict.fromkeys(read_again))}"


def _where(key: str) -> str:
    """Return a rule's heading, and what it is part of."""
    first, *inner = key.split(".")
    if not inner or first in ("capture", "upload", "statements"):
        return label(key)
    return label(first) if inner[-1].isdigit() and first == "relaxations" else f"{label(first)}, {label(key).lower()}"
