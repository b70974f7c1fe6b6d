"""An event: the badge's design, the roster, and the photos shared with the organiser."""

from __future__ import annotations

from datetime import date
from typing import Self

from pydantic import model_validator

from kiosk.settings.section import Section


class EventSettings(Section):
    """The settings of an event, at which the booth makes badges instead of photos for documents.

    Attributes
    ----------
    design
        A design file like those in specs/badges.
    roster
        A file of this station only, or the URL of a PostgreSQL server that several share (`postgresql+psycopg://…`).
    photos_folder, photos_until
        Where to store the photos of guests who agree, and the day on which all of them are deleted.
    """

    design: str
    roster: str
    photos_folder: str = ""
    photos_until: date | None = None

    @model_validator(mode="after")
    def _both_or_none(self) -> Self:
        if bool(self.photos_folder) != (self.photos_until is not None):
            raise ValueError("photos_folder and photos_until go together")
        return self
