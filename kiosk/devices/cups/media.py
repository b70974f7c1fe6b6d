"""The media of a queue, read from its driver's description (PPD 4.3), and the choice of one by its size.

A name says little: `4x6` may be the bordered or the borderless variant, and a name that a driver lacks is taken
silently for its default. Lengths in PPD files are points.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass

from kiosk.core.base.geometry import Size
from kiosk.core.base.units import MM_PER_INCH, POINTS_PER_INCH
from kiosk.core.sheet.imposition import Margins

SIZE_TOLERANCE_MM = 0.5
"""Many drivers round a medium to whole points; the papers of the trade differ by 1 mm or more."""

_NUMBERS = r"([0-9.]+)\s+([0-9.]+)"
_DIMENSION = re.compile(rf'^\*PaperDimension ([^/:\s]+)[^:]*:\s*"\s*{_NUMBERS}\s*"', re.MULTILINE)
_AREA = re.compile(rf'^\*ImageableArea ([^/:\s]+)[^:]*:\s*"\s*{_NUMBERS}\s+{_NUMBERS}\s*"', re.MULTILINE)
_BEST = re.compile(r"^\*cupsPrintQuality (?:High|5)[^\n]*HWResolution\s*\[\s*(\d+)\s+(\d+)\s*\]", re.MULTILINE)
_FORMAT = re.compile(r'^\*cupsFilter2:\s*"\S+\s+(\S+)\s', re.MULTILINE)
_RESOLUTION = re.compile(r"^\*DefaultResolution:\s*((\d+)(?:x(\d+))?dpi)", re.MULTILINE)
_NAME = re.compile(r'^\*NickName:\s*"([^"]*)"', re.MULTILINE)
_COLOUR_MODEL = re.compile(r"^\*DefaultColorModel:\s*(\S+)", re.MULTILINE)
_USUAL_DPI = "300"


@dataclass(frozen=True, slots=True)
class QueueMedium:
    """A medium as a queue offers it, upright: the driver's keyword, its size, and the edges out of reach."""

    keyword: str
    size_mm: Size
    margins: Margins

    @property
    def widest_mm(self) -> float:
        """The widest margin."""
        margins = self.margins
        return max(margins.left_mm, margins.top_mm, margins.right_mm, margins.bottom_mm)


_DUPLEX = "*Duplex DuplexNoTumble"
"""How a description names both sides over the long edge (PPD Specification 4.3, 5.17; from memory)."""


@dataclass(frozen=True, slots=True)
class QueueDriver:
    """What a queue's driver says.

    Attributes
    ----------
    media
        In the driver's order.
    dpi
        Pixels per inch across and down at the best quality.
    formats
        What it makes of a sheet for the device, as MIME types; none where it does not say.
    digest
        Of the description, but for addresses, which change from start to start.
    resolution
        The same as its description or IPP spells it.
    name
        What the driver calls itself and its printer; nothing where it does not say.
    colour_model
        The description's default; nothing where it has none.
    is_duplex
        Whether it prints both sides of a sheet, turned over the long edge.
    """

    media: tuple[QueueMedium, ...]
    dpi: tuple[int, int]
    formats: tuple[str, ...]
    digest: str
    resolution: str
    name: str = ""
    colour_model: str = ""
    is_duplex: bool = False


def read_driver(ppd: str) -> QueueDriver:
    """Return what a description says; without media where it is none."""
    sizes = {name: Size(_mm(width), _mm(height)) for name, width, height in _DIMENSION.findall(ppd)}
    media = []
    for name, left, bottom, right, top in _AREA.findall(ppd):
        size = sizes.get(name)
        if size is not None and size.width <= size.height:
            margins = Margins(_mm(left), size.height - _mm(top), size.width - _mm(right), _mm(bottom))
            media.append(QueueMedium(name, size, margins))
    best, usual, name, colour_model = (pattern.search(ppd) for pattern in (_BEST, _RESOLUTION, _NAME, _COLOUR_MODEL))
    if best:
        across, down = best.groups()
        resolution = f"{across}dpi" if across == down else f"{across}x{down}dpi"
    else:
        resolution, across, down = usual.groups() if usual else (f"{_USUAL_DPI}dpi", _USUAL_DPI, None)
    lasting = "\n".join(line for line in ppd.splitlines() if "://" not in line)
    return QueueDriver(
        tuple(media),
        (int(across), int(down or across)),
        tuple(_FORMAT.findall(ppd)),
        hashlib.sha256(lasting.encode()).hexdigest()[:16],
        resolution,
        name.group(1) if name else "",
        colour_model.group(1) if colour_model else "",
        _DUPLEX in ppd,
    )


def choose_medium(media: Iterable[QueueMedium], size_mm: Size, *, borderless: bool) -> QueueMedium | None:
    """Return the medium of a size, None where there is none; of its variants the one with or without borders."""
    fitting = [medium for medium in media if _difference_mm(medium.size_mm, size_mm) <= SIZE_TOLERANCE_MM]
    fitting.sort(key=lambda medium: (medium.widest_mm, _difference_mm(medium.size_mm, size_mm)))
    if not fitting:
        return None
    return fitting[0] if borderless else next((one for one in fitting if one.widest_mm > 0), fitting[0])


def _difference_mm(one: Size, other: Size) -> float:
    return max(abs(one.width - other.width), abs(one.height - other.height))


def _mm(points: str) -> float:
    return float(points) / POINTS_PER_INCH * MM_PER_INCH
