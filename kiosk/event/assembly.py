"""An event as the settings describe it: what the session must know of it, and the thread that asks its roster."""

from __future__ import annotations

from dataclasses import replace

from kiosk.catalogue.badge_designs import PHOTO_RULES, photo_document, read_design
from kiosk.catalogue.documents import Catalogue
from kiosk.core.attendant.state import DeskConfig
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.session.state import Reception
from kiosk.event.guest_register import asked_columns
from kiosk.event.roster_worker import RosterWorker
from kiosk.settings import Settings
from kiosk.store.roster.database import Database
from kiosk.store.roster.photo_export import PhotoExport
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import Station
from kiosk.system.clock import Clock


def reception_of(settings: Settings, catalogue: Catalogue) -> Reception | None:
    """Return what the session must know of an event, where badges are handed out; errors as `read_design`."""
    if settings.event is None:
        return None
    design = read_design(settings.path(settings.event.design))
    window = design.photo
    rules = catalogue.get(PHOTO_RULES[window.background]) if window else None
    document = photo_document(design, window, rules) if window and rules else None
    return Reception(document, settings.event.photos_until)


def at_event(desk_config: DeskConfig, design: BadgeDesign) -> DeskConfig:
    """Return an attendant's desk that also serves the guests whose badges have this design."""
    shows_photo = design.photo is not None
    return replace(desk_config, columns=asked_columns(design), roles=tuple(design.roles), shows_photo=shows_photo)


def roster_of(settings: Settings, clock: Clock) -> RosterWorker | None:
    """Return the desk of an event, or None where the booth takes photos for documents.

    Raises
    ------
    RulesRefused
        The badge's design has a fault.
    RosterUnreachable
        The roster of a desk that is alone does not answer.
    """
    event = settings.event
    if event is None:
        return None
    design, name = read_design(settings.path(event.design)), settings.booth.name or "desk"
    photos = None
    if event.photos_until is not None:
        photos = PhotoExport(settings.path(event.photos_folder), event.photos_until)
    if "://" not in event.roster:
        roster = Roster(Database(f"sqlite:///{settings.path(event.roster)}"), name, clock)
        return RosterWorker(design, roster, clock, photos)
    copy = settings.path(settings.booth.state_folder) / "roster-copy.sqlite3"
    return RosterWorker(design, Station(event.roster, f"sqlite:///{copy}", name, clock), clock, photos)
