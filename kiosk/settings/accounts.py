"""What is kept of what was done."""

from __future__ import annotations

from kiosk.settings.section import Section


class Ledger(Section):
    """The file of the ledger, on a disk that stays when the power goes; one booth, one file."""

    file: str = "ledger/ledger.sqlite3"
