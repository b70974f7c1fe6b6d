"""An event's desk: the badge's design, the roster, and what the organiser may keep."""

from __future__ import annotations

from datetime import date
from typing import Self

from pydantic import model_validator

from kiosk.settings.section import Section


class EventSettings(Section):
    """Badges of an event instead of photos for documents.

    `design` is a file as in specs/badges. `roster` is a file of this desk alone, or the address of a PostgreSQL server
    that several share (`postgresql+psycopg://…`). Guests who allow it have their photo kept in `photos_folder` until
    the day `photos_until`, when all are deleted.
    """

    design: str
    roster: str
    photos_folder: str = ""
    photos_until: date | None = None

    @model_validator(mode="after")
    def _both_or_none(self) -> Self:
        if bool(self.photos_folder) != (self.photos_until is not None):
            raise ValueError("photos_folder and photos_until are given together")
        return self
