"""The device as a witness of one sheet: the new entry in its list of jobs is this sheet, and its report decides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from kiosk.devices.cups.device import Device, DeviceJob

_ABORTED, _COMPLETED = 8, 9

RECALL_S = 60.0
"""How long a printer may take to end a sheet that is called back: one that was begun takes 10 to 60 s to come out
(practice of the trade), and only then has the printer counted it."""

SheetEnding = Literal["printed", "not_printed", "unknown"]


@dataclass(frozen=True, slots=True)
class Output:
    """What a sheet takes, copies included: the sides that are marked, and the pieces of paper.

    Printers that print both sides of a piece count the sides (RFC 8011, 5.3.18.2) or only the pieces.
    """

    sides: int = 1
    pieces: int = 1


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
        Whether the device counts impressions at all: only then is 0 a statement.
    remembers
        Whether it still knows the last sheet before this one; a device that was switched off does not.
    times
        How often the device was sent the sheet: a server sends it again when a paused queue is resumed.
    """

    sheet: DeviceJob | None
    counts: bool
    remembers: bool = True
    times: int = 1


@dataclass(slots=True)
class Habits:
    """What a device has shown of itself so far; it forgets its jobs, some a minute after they are done.

    Attributes
    ----------
    counts
        Whether it has counted an impression.
    """

    counts: bool = False


@dataclass(frozen=True, slots=True)
class Witness:
    """The device, and the sheets that it knew before this one: the new one in its list is this one."""

    device: Device
    before: Mapping[int, DeviceJob]
    habits: Habits

    def ask(self) -> Testimony | None:
        """Return what the device knows of the sheet, or None where it does not answer.

        The booth's title decides between several new sheets; there are devices that keep no title.
        """
        jobs = self.device.jobs()
        if jobs is None:
            return None
        new = {number: job for number, job in jobs.items() if not self._was_there(number, job)}
        ours = {number: job for number, job in new.items() if job.named} or new
        times = sum(job.named for job in ours.values())
        sheet = _together(list(ours.values())) if times > 1 else ours[max(ours)] if ours else None
        last = max(self.before, default=None)
        remembers = last is None or (last in jobs and self._was_there(last, jobs[last]))
        _learn(self.habits, jobs)
        return Testimony(sheet, self.habits.counts, remembers, times)

    def _was_there(self, number: int, job: DeviceJob) -> bool:
        before = self.before.get(number)
        return before is not None and before.uuid == job.uuid


def _together(sent: list[DeviceJob]) -> DeviceJob:
    """Return a sheet that was sent more than once as one: it has ended when all have, with the sum of their counts."""
    open_ones = [job for job in sent if not job.has_ended]
    counted = [job for job in sent if job.impressions]
    decisive = (open_ones or counted or sent)[-1]
    return replace(decisive, impressions=sum(job.impressions for job in sent))


def witness_of(device: Device | None, habits: Habits) -> Witness | None:
    """Return the device as a witness of the next sheet, or None where it cannot be asked for its jobs."""
    before = device.jobs() if device is not None else None
    if device is None or before is None:
        return None
    _learn(habits, before)
    return Witness(device, before, habits)


def _learn(habits: Habits, jobs: Mapping[int, DeviceJob]) -> None:
    habits.counts = habits.counts or any(job.impressions for job in jobs.values())


def word_on(sheet: DeviceJob, why: str, output: Output, *, counts: bool, whole: bool, times: int = 1) -> Ended:
    """Return the outcome of a sheet by the report of a device that has ended it.

    A device that calls a sheet done and has counted fewer impressions than it takes pieces of paper has put out a part
    of it, or has not counted its copies: nobody knows which.

    Parameters
    ----------
    why
        What stood in the way of the sheet, or nothing.
    output
        What the whole sheet takes.
    counts
        Whether the device counts impressions.
    whole
        Whether all of the sheet surely was sent; what was cut off on its way may come out in part, and is counted.
    times
        How often it was sent.
    """
    none = counts and not sheet.impressions
    if times > 1 and (sheet.impressions > output.sides or not counts):
        return Ended("unknown", "it was sent to the printer twice, and may have come out twice")
    is_done = sheet.state == _COMPLETED
    if is_done and 0 < sheet.impressions < output.pieces:
        return Ended("unknown", why or f"it counted {sheet.impressions} of {output.pieces} pieces of paper")
    if not none and (is_done or sheet.impressions >= output.sides):
        return Ended("printed") if whole else Ended("unknown", why or "the sheet may have come out in part")
    if is_done:
        return Ended("not_printed", why or "it put out no page of the sheet")
    if sheet.was_refused:
        return Ended("not_printed", "it refused the sheet")
    gave_up = "the printer gave the sheet up" if sheet.state == _ABORTED else "the sheet was cancelled at the printer"
    return Ended("not_printed" if none else "unknown", why or gave_up)
