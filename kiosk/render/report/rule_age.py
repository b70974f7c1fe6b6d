"""The values of a document that nobody has read or confirmed for too long, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from kiosk.catalogue.documents import Catalogue
from kiosk.core.document.confirmation import Confirmation, latest
from kiosk.core.document.document import Document
from kiosk.render.report.rule_words import label


def old_values(
    document: Document, catalogue: Catalogue, confirmations: Sequence[Confirmation], today: date, days: int
) -> Iterator[str]:
    """Yield one line per day on which values were read that are now more than `days` old."""
    confirmation = latest(document, confirmations)
    if confirmation is not None and (today - confirmation.on).days <= days:
        return
    old: dict[date, list[str]] = {}
    for key, rule in document.rules():
        if (today - rule.read_on).days > days:
            shared = catalogue.common.get(key.removeprefix("capture.")) == rule
            old.setdefault(rule.read_on, []).append("the limits that all documents share" if shared else label(key))
    for read_on in sorted(old):
        names = ", ".join(dict.fromkeys(name[:1].lower() + name[1:] for name in old[read_on]))
        yield f"{document.id}: read on {read_on}, {(today - read_on).days} days ago: {names}"
