"""Put an event together from the settings: the session's configuration, and the thread that queries the roster."""

from __future__ import annotations

from dataclasses import replace

from kiosk.catalogue.badge_designs import PHOTO_RULES, photo_document, read_design
from kiosk.catalogue.documents import Catalogue
from kiosk.core.attendant.state import DeskConfig
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.session.booth_config import Reception
from kiosk.event.guest_register import walk_in_columns
from kiosk.event.roster_worker import RosterWorker
from kiosk.settings import Settings
from kiosk.store.roster.database import Database
from kiosk.store.roster.photo_export import PhotoExport
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import Station
from kiosk.system.clock import Clock


def reception_of(settings: Settings, catalogue: Catalogue) -> Reception | None:
    """Return the session's configuration of an event, or None if the booth takes photos for documents.

    Raises
    ------
    RulesRefused
        The badge's design has a fault.
    """
    if settings.event is None:
        return None
    design = read_design(settings.path(settings.event.design))
    window = design.photo
    rules = catalogue.get(PHOTO_RULES[window.background]) if window else None
    document = photo_document(design, window, rules) if window and rules else None
    return Reception(document, settings.event.photos_until)


def at_event(desk_config: DeskConfig, design: BadgeDesign) -> DeskConfig:
    """Return the desk's settings, extended for guests whose badges have this design."""
    shows_photo = design.photo is not None
    return replace(desk_config, columns=walk_in_columns(design), roles=tuple(design.roles), shows_photo=shows_photo)


def roster_of(settings: Settings, clock: Clock) -> RosterWorker | None:
    """Return the roster's thread, or None if the booth takes photos for documents.

    Raises
    ------
    RulesRefused
        The badge's design has a fault.
    RosterUnreachable
        The database of a single station's roster does not respond.
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
        roster.settle()
        return RosterWorker(design, roster, clock, photos)
    copy = settings.path(settings.booth.state_folder) / "roster-copy.sqlite3"
    return RosterWorker(design, Station(event.roster, f"sqlite:///{copy}", name, clock), clock, photos)
