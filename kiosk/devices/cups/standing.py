"""The state of a device itself: its reasons, the paper in it, and how much is left of its ribbon or ink."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, repeat

from kiosk.core.base.geometry import Size
from kiosk.core.sheet.imposition import Medium
from kiosk.core.sheet.media import medium
from kiosk.devices.base import Supply
from kiosk.devices.cups.hints import reason_of
from kiosk.devices.cups.media import SIZE_TOLERANCE_MM
from kiosk.errors import UnknownPaper

FEW_PERCENT = 5
"""At how much of a ribbon or an ink somebody is warned, where the device names no limit of its own: 20 of the 400
sheets of a ribbon (this project's own choice)."""

_STOPPED = 5
"""printer-state stopped (RFC 8011, 5.4.11)."""
_NOT_STATED = 0
"""Below it a level says that it is unknown, or that some is left (RFC 3805, prtMarkerSuppliesLevel)."""

_WASTE, _CONSUMED = "waste", re.compile("ink|toner|ribbon|wax")
"""Of the kinds of supplies (marker-types, after RFC 3805, PrtMarkerSuppliesTypeTC): containers, of which a level of 0
says that they are empty, and what a sheet is made with. A drum or a fuser prints on at 0 %."""


@dataclass(frozen=True, slots=True)
class DeviceStanding:
    """The state of a device as it reports it.

    Attributes
    ----------
    reasons
        Its printer-state-reasons; `offline` where it does not answer.
    formats
        The MIME types that it takes; none where it does not say.
    loaded
        The papers in it, by their PWG 5101.1 names (media-ready); none where it does not say.
    supplies
        Those whose level it states, without containers for waste.
    used_up
        The names of the ribbons, inks and toners of which it states that nothing is left.
    is_stopped
        Whether its printer-state is stopped.
    up_s
        For how many seconds it has been on; None where it does not say.
    """

    reasons: tuple[str, ...] = ()
    formats: tuple[str, ...] = ()
    loaded: tuple[str, ...] = ()
    supplies: tuple[Supply, ...] = ()
    used_up: tuple[str, ...] = ()
    is_stopped: bool = False
    up_s: int | None = None

    @property
    def obstacle(self) -> str:
        """What keeps it from printing anything, or nothing."""
        known = reason_of(self.reasons)
        return known or ("it has stopped and does not say why" if self.is_stopped else "")

    def lacks(self, wanted: Medium) -> str:
        """Return which paper is in it instead of the wanted one; empty if the wanted one may be in it."""
        if not self.loaded or any(_may_be(name, wanted.size_mm) for name in self.loaded):
            return ""
        found = " and ".join(dict.fromkeys(_short(name) for name in self.loaded))
        return f"it has {found} loaded and the sheets are {wanted.short}; load {wanted.short}"


OFFLINE = DeviceStanding(("offline",))


def read_standing(said: Mapping[str, object]) -> DeviceStanding:
    """Return the state that a device's attributes describe, as ipptool reads them from IPP."""
    supplies = [supply for supply, _ in _supplies(said)]
    used_up = [supply.name for supply, kind in _supplies(said) if supply.percent == 0 and _CONSUMED.search(kind)]
    return DeviceStanding(
        words(said.get("printer-state-reasons")),
        words(said.get("document-format-supported")),
        words(said.get("media-ready")),
        tuple(supplies),
        tuple(used_up),
        said.get("printer-state") == _STOPPED,
        next(iter(_numbers(said.get("printer-up-time"))), None),
    )


def _supplies(said: Mapping[str, object]) -> Iterator[tuple[Supply, str]]:
    """Yield each supply whose level is stated, and its kind in lower case; one without a kind is a ribbon or an ink."""
    names, levels, lows, kinds = (said.get(f"marker-{what}") for what in ("names", "levels", "low-levels", "types"))
    limits, every_kind = chain(_numbers(lows), repeat(_NOT_STATED)), chain(words(kinds), repeat("ink"))
    for name, level, limit, kind in zip(words(names), _numbers(levels), limits, every_kind, strict=False):
        if level >= _NOT_STATED and not kind.lower().startswith(_WASTE):
            yield Supply(name, level, limit if limit > _NOT_STATED else FEW_PERCENT), kind.lower()


def words(found: object) -> tuple[str, ...]:
    """Return an attribute's keywords, of which one alone comes as a string."""
    said = [found] if isinstance(found, str) else found if isinstance(found, list) else []
    return tuple(str(word) for word in said if word != "none")


def _numbers(found: object) -> list[int]:
    said = [found] if isinstance(found, int) else found if isinstance(found, list) else []
    return [number for number in said if isinstance(number, int)]


def _may_be(name: str, wanted: Size) -> bool:
    """Return whether a paper has the size, either way round; a roll and a name without a size may have any."""
    try:
        found = medium(name).size_mm
    except UnknownPaper:
        return True
    sides = zip(sorted((found.width, found.height)), sorted((wanted.width, wanted.height)), strict=True)
    return all(abs(one - other) <= SIZE_TOLERANCE_MM for one, other in sides)


def _short(name: str) -> str:
    return medium(name).short
