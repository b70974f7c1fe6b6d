"""The options of a sheet: exact, and said every time, because every default of the chain scales."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from kiosk.devices.cups.media import QueueDriver, QueueMedium

QUALITY = "5"
"""`print-quality` high (RFC 8011, 5.2.13); without it a driverless queue prints at half the resolution."""
TITLE = "holdstill sheet"
"""The same for every sheet: a title is logged and shown by the spooler."""


def sheet_options(
    medium: QueueMedium, copies: int, limit_s: float, extra: Mapping[str, str], *, with_back: bool = False
) -> dict[str, str]:
    """Return the options of one sheet; those of the printer's profile in `extra` never override the rest.

    Parameters
    ----------
    with_back
        Print its second page behind the first, to be turned over the long edge.
    """
    return {
        **extra,
        "media": medium.keyword,
        "print-scaling": "none",
        "print-quality": QUALITY,
        "sides": "two-sided-long-edge" if with_back else "one-sided",
        "number-up": "1",
        "copies": str(copies),
        "job-sheets": "none,none",
        "job-cancel-after": str(round(limit_s)),
    }


def set_up_of(driver: QueueDriver, medium: QueueMedium, extra: Mapping[str, str]) -> str:
    """Return a fingerprint of what the scale depends on: driver, medium and options."""
    parts = [driver.digest, repr(medium), *(f"{name}={extra[name]}" for name in sorted(extra))]
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:16]
