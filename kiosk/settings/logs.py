"""The folder of the log."""

from __future__ import annotations

from kiosk.settings.section import Section


class LogSettings(Section):
    """The folder of the log; without one the log goes to standard error only."""

    folder: str = ""
