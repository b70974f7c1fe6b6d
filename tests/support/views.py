"""Views for tests: every field by its own name, wherever in a view it stands."""

from __future__ import annotations

from dataclasses import fields, replace

from kiosk.core.view.align import AlignView
from kiosk.core.view.handover import HandoverView
from kiosk.core.view.payment import PaymentView
from kiosk.core.view.review import ReviewView
from kiosk.core.view.sheet import SheetView
from kiosk.core.view.sitter import EventView, SessionView

PARTS = {
    "align": AlignView,
    "review": ReviewView,
    "sheet": SheetView,
    "payment": PaymentView,
    "handover": HandoverView,
    "event": EventView,
}
PART_OF = {field.name: part for part, kind in PARTS.items() for field in fields(kind)}


def altered(view: SessionView, **changes: object) -> SessionView:
    """Return a view with other values, those of its parts too."""
    parts: dict[str, dict[str, object]] = {}
    for name in changes.keys() & PART_OF.keys():
        parts.setdefault(PART_OF[name], {})[name] = changes.pop(name)
    changed = {part: replace(getattr(view, part), **values) for part, values in parts.items()}
    return replace(view, **changed, **changes)
