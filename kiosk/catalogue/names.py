"""Whether the names in a document's file are known: of sources, of measurements, of other documents."""

from __future__ import annotations

import difflib
from collections.abc import Container, Iterator, Mapping
from pathlib import Path

from kiosk.core.document.ages import LIFTED
from kiosk.core.document.document import Document
from kiosk.core.document.limits import CaptureLimit, Provenance
from kiosk.errors import RulesRefused


def check_sources(path: Path, key: str, rule: Provenance, sources: Container[str]) -> None:
    """Refuse a rule whose source nobody has entered in `sources.toml`."""
    for name in rule.source:
        if name not in sources:
            raise RulesRefused(path=path, where=f"{key}.source", detail=f"{name!r} is not in sources.toml")


def check_measurements(path: Path, document: Document, capture: Mapping[str, CaptureLimit]) -> None:
    """Refuse names that no measurement has, so that a misspelt one is not silently without effect."""
    for where, name in _measurements_named(document):
        if name not in capture and not (where.endswith("lifts") and name in LIFTED):
            near = difflib.get_close_matches(name, capture, n=1)
            hint = f"; {near[0]!r} is the nearest" if near else ""
            raise RulesRefused(path=path, where=where, detail=f"no measurement is called {name!r}{hint}")
    relaxed = ((f"relaxations.{n}.", one.capture) for n, one in enumerate(document.relaxations, start=1))
    for prefix, limits in (("", document.capture), *relaxed):
        for name, limit in limits.items():
            if limit.unit != capture[name].unit:
                detail = f"{limit.unit!r}; {name} is measured in {capture[name].unit!r}"
                raise RulesRefused(path=path, where=f"{prefix}capture.{name}.unit", detail=detail)


def check_variants(folder: Path, own: Mapping[str, Document], known: Mapping[str, Document]) -> None:
    """Refuse a variant of what is unknown, or of what is a variant itself."""
    for document in own.values():
        root = known.get(document.variant_of) if document.variant_of else None
        if document.variant_of and (root is None or root.variant_of or root is document):
            detail = f"{document.variant_of!r} is not a document with variants"
            raise RulesRefused(path=folder / f"{document.id}.toml", where="variant_of", detail=detail)


def _measurements_named(document: Document) -> Iterator[tuple[str, str]]:
    for name in document.capture:
        yield f"capture.{name}", name
    for index, relaxation in enumerate(document.relaxations, start=1):
        for name in relaxation.lifts:
            yield f"relaxations.{index}.lifts", name
        for name in relaxation.capture:
            yield f"relaxations.{index}.capture.{name}", name
