"""Check the settings for choices that leave the booth without an attendant's help, or without a log."""

from __future__ import annotations

from kiosk.core.view.finding import Finding
from kiosk.settings import Settings


def site_findings(settings: Settings) -> list[Finding]:
    """Return the findings on the attendant's PIN and on the log."""
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
            f"The log is written to {settings.path(settings.logs.folder)}." if keeps_log else "No log is written.",
            "Set logs.folder in the settings, so that a fault can be investigated afterwards.",
            "site",
        ),
    ]
