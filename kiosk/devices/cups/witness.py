"""The device as a witness of one sheet: what is new in its list of jobs is this sheet, and its word decides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from kiosk.devices.cups.device import Device, DeviceJob

_ABORTED, _COMPLETED = 8, 9

SheetEnding = Literal["printed", "not_printed", "unknown"]


@dataclass(frozen=True, slots=True)
class Ended:
    """What became of a sheet, and why it was not printed or is unknown."""

    end: SheetEnding
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Testimony:
    """What the device knows of the sheet now.

    Attributes
    ----------
    sheet
        The sheet, None where the device knows of none.
    counts
        Whether the device counts impressions at all, by the jobs that it remembers: only then is 0 a statement.
    """

    sheet: DeviceJob | None
    counts: bool


@dataclass(frozen=True, slots=True)
class Witness:
    """The device, and the sheets that it knew before this one came: what is new is this one."""

    device: Device
    before: frozenset[int]

    def ask(self) -> Testimony | None:
        """Return what the device knows of the sheet, or None where it does not answer.

        The booth's title decides between several new sheets; there are devices that keep no title.
        """
        jobs: Mapping[int, DeviceJob] | None = self.device.jobs()
        if jobs is None:
            return None
        new = {number: job for number, job in jobs.items() if number not in self.before}
        ours = {number: job for number, job in new.items() if job.named} or new
        sheet = ours[max(ours)] if ours else None
        return Testimony(sheet, any(job.impressions for job in jobs.values()))


def witness_of(device: Device | None) -> Witness | None:
    """Return the device as a witness of the next sheet, or None where it cannot be asked for its jobs."""
    before = device.jobs() if device is not None else None
    return None if device is None or before is None else Witness(device, frozenset(before))


def word_on(sheet: DeviceJob, why: str, impressions: int, *, counts: bool) -> Ended:
    """Return what became of a sheet by the word of a device that has ended it.

    Parameters
    ----------
    why
        What stood in the way of the sheet, or nothing.
    impressions
        How many the whole sheet takes, copies included.
    counts
        Whether the device counts impressions.
    """
    none = counts and not sheet.impressions
    if sheet.state == _COMPLETED:
        return Ended("not_printed", why or "it put out no page of the sheet") if none else Ended("printed")
    if sheet.was_refused:
        return Ended("not_printed", "it refused the sheet")
    if sheet.impressions >= impressions:
        return Ended("printed")
    gave_up = "the printer gave the sheet up" if sheet.state == _ABORTED else "the sheet was cancelled at the printer"
    return Ended("not_printed" if none else "unknown", why or gave_up)
