"""Whether the names in a document's file are known: of sources, of measurements, of other documents."""

from __future__ import annotations

import difflib
from collections.abc import Container, Mapping
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
    for index, relaxation in enumerate(document.relaxations, start=1):
        for name in relaxation.lifts:
            if name not in LIFTED:
                _check_name(path, f"relaxations.{index}.lifts", name, capture)
        check_limits(path, f"relaxations.{index}.capture.", relaxation.capture, capture)
    check_limits(path, "capture.", document.capture, capture)


def check_limits(
    path: Path, prefix: str, limits: Mapping[str, CaptureLimit], known: Mapping[str, CaptureLimit]
) -> None:
    """Refuse a limit on what the program does not measure, or in another unit than it measures."""
    for name, limit in limits.items():
        _check_name(path, f"{prefix}{name}", name, known)
        if limit.unit != known[name].unit:
            detail = f"{limit.unit!r}; {name} is measured in {known[name].unit!r}"
            raise RulesRefused(path=path, where=f"{prefix}{name}.unit", detail=detail)


def _check_name(path: Path, where: str, name: str, known: Mapping[str, CaptureLimit]) -> None:
    if name not in known:
        near = difflib.get_close_matches(name, known, n=1)
        hint = f"; {near[0]!r} is the nearest" if near else ""
        raise RulesRefused(path=path, where=where, detail=f"no measurement is called {name!r}{hint}")


def check_variants(folder: Path, own: Mapping[str, Document], known: Mapping[str, Document]) -> None:
    """Refuse a variant of what is unknown, or of what is a variant itself."""
    for document in own.values():
        root = known.get(document.variant_of) if document.variant_of else None
        if document.variant_of and (root is None or root.variant_of or root is document):
            detail = f"{document.variant_of!r} is not a document with variants"
            raise RulesRefused(path=folder / f"{document.id}.toml", where="variant_of", detail=detail)
