"""The options of a sheet: exact, and said every time, because every default of the chain scales."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from kiosk.devices.cups.media import QueueDriver, QueueMedium

QUALITY = "5"
"""`print-quality` high (RFC 8011, 5.2.13); without it a driverless queue prints at half the resolution."""
TITLE = "holdstill sheet"
"""The same for every sheet: a title is logged and shown by the spooler."""


_PLAIN = {
    "print-scaling": "none",
    "orientation-requested": "3",
    "landscape": "false",
    "mirror": "false",
    "booklet": "false",
    "number-up": "1",
    "page-set": "all",
    "page-ranges": "1-2",
    "outputorder": "normal",
    "page-border": "none",
    "page-label": "",
    "print-color-mode": "color",
    "monochrome": "false",
    "job-sheets": "none,none",
}
"""What CUPS's filters would otherwise take from the queue's defaults: each of them was seen to change or to lose a page
(cups 2.4.2, cups-filters 1.28.17), but for `monochrome` and `outputorder`, which its documentation names."""


def sheet_options(
    driver: QueueDriver,
    medium: QueueMedium,
    copies: int,
    limit_s: float,
    extra: Mapping[str, str],
    *,
    with_back: bool = False,
) -> dict[str, str]:
    """Return the options of one sheet; those of the printer's profile in `extra` override none but the colour model.

    Parameters
    ----------
    with_back
        Print its second page behind the first, to be turned over the long edge.
    """
    return {
        **({"ColorModel": driver.colour_model} if driver.colour_model else {}),
        **extra,
        **_PLAIN,
        "media": medium.keyword,
        "PageSize": medium.keyword,
        "PageRegion": medium.keyword,
        "print-quality": QUALITY,
        "printer-resolution": driver.resolution,
        "Resolution": driver.resolution,
        "sides": "two-sided-long-edge" if with_back else "one-sided",
        "copies": str(copies),
        "job-cancel-after": str(round(limit_s)),
    }


def set_up_of(
    driver: QueueDriver, medium: QueueMedium, extra: Mapping[str, str], defaults: Mapping[str, object]
) -> str:
    """Return a fingerprint of what the scale depends on: driver, medium, options, and the queue's own defaults."""
    own = [f"{name}={value}" for options in (extra, defaults) for name, value in sorted(options.items())]
    return hashlib.sha256("\0".join([driver.digest, repr(medium), *own]).encode()).hexdigest()[:16]
