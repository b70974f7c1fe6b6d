"""The booth's own choices, where one of them leaves it open to harm or without a trace."""

from __future__ import annotations

from kiosk.core.view.finding import Finding
from kiosk.settings import Settings


def site_findings(settings: Settings) -> list[Finding]:
    """Return whether an attendant can get behind the screens, and whether a log is kept."""
    has_pin, keeps_log = bool(settings.attendant.pin_hash), bool(settings.logs.folder)
    return [
        Finding(
            "attendant_pin",
            "set" if has_pin else "none",
            "",
            has_pin,
            f"The attendant's PIN is {'set' if has_pin else 'not set: nobody can help from the screen'}.",
            "Set one with `holdstill setup`.",
            "site",
        ),
        Finding(
            "log",
            settings.logs.folder or "none",
            "",
            keeps_log,
            f"The log is kept in {settings.path(settings.logs.folder)}." if keeps_log else "No log is kept.",
            "Write a folder under logs.folder in the settings, so that a fault can be looked into afterwards.",
            "site",
        ),
    ]
