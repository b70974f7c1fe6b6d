"""The power supply behind the booth."""

from __future__ import annotations

from pydantic import Field

from kiosk.settings.section import Section


class PowerSettings(Section):
    """An uninterruptible power supply, by the name that Network UPS Tools gives it (upsc(8): `NAME[@HOST[:PORT]]`).

    Without one the booth asks nobody about the mains.
    """

    ups: str = Field(default="", pattern=r"^(?:[A-Za-z0-9._][A-Za-z0-9._-]*(?:@[A-Za-z0-9._:\[\]-]+)?)?$")
