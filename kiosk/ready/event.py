"""Check an event: its badge design can be read, and its roster responds and has guests."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from kiosk.catalogue.badge_designs import read_design
from kiosk.core.view.finding import Finding
from kiosk.errors import KioskError
from kiosk.settings import Settings
from kiosk.settings.event import EventSettings
from kiosk.store.roster.database import PEOPLE, Database


def event_findings(settings: Settings) -> Iterator[Finding]:
    """Yield the findings on the event in the settings, if there is one."""
    if settings.event is not None:
        yield _design(settings.path(settings.event.design))
        yield _roster(settings, settings.event)


def _design(path: Path) -> Finding:
    try:
        design = read_design(path)
    except KioskError as error:
        return Finding("design", str(path), "", False, str(error), error.advice, "documents", stops=True)
    sentence = f"Badges are handed out: {design.title}, {design.width_mm:g} x {design.height_mm:g} mm."
    return Finding("design", design.id, "", True, sentence, "", "documents")


def _roster(settings: Settings, event: EventSettings) -> Finding:
    shared = "://" in event.roster
    address = event.roster if shared else f"sqlite:///{settings.path(event.roster)}"
    try:
        database = Database(address)
        guests = database.count(PEOPLE)
        database.close()
    except KioskError as error:
        return Finding("roster", 0, "count", False, str(error), error.advice, "documents", stops=not shared)
    next_step = "Import the list with `holdstill roster import`."
    return Finding("roster", guests, "count", guests > 0, f"{guests} guests are on the roster.", next_step, "documents")
