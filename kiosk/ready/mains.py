"""Check whether the mains are there, if the settings name a UPS."""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.core.base.mains import MAINS_ADVICE
from kiosk.core.view.finding import Finding
from kiosk.settings import Settings
from kiosk.system.ups import ask_ups


def mains_findings(settings: Settings) -> Iterator[Finding]:
    """Yield a finding on the mains; none without a UPS. One that cannot be asked keeps no booth closed."""
    if not settings.power.ups:
        return
    mains = ask_ups(settings.power.ups)
    advice = "Look at the name in power.ups, and at upsd and its driver." if mains.trouble else MAINS_ADVICE
    value = " ".join(mains.words) or "unknown"
    yield Finding("mains", value, "", mains.are_there, mains.sentence, advice, "machine", stops=mains.have_failed)
