"""Where the ledger is copied to."""

from __future__ import annotations

from pydantic import Field

from kiosk.settings.section import Section


class CopySettings(Section):
    """The daily copy of the ledger on a second medium; without a folder there is none.

    Attributes
    ----------
    folder
        A folder that exists on another disk, such as a USB stick's; the booth never creates it, because it would then
        write to the first disk while the second is away.
    days
        How many copies are kept, one a day.
    """

    folder: str = ""
    days: int = Field(default=30, ge=2, le=3650)
