"""From printer-state-reasons and CUPS's own messages to words for a person: the first match wins.

The keywords are those of RFC 8011, 5.4.12, and PWG 5100.9. A reason may end in -report, -warning or -error, and
printers differ in which they use, so the beginning decides.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reason:
    """The beginning of a printer-state-reason, and the second half of the sentence `The printer … stopped: …`."""

    prefix: str
    meaning: str


REASONS = (
    Reason("media-jam", "the paper has jammed"),
    Reason("media-empty", "the paper is used up"),
    Reason("media-needed", "it asks for paper"),
    Reason("marker-supply-empty", "the ribbon or ink is used up"),
    Reason("marker-waste-full", "its waste container is full"),
    Reason("toner-empty", "the toner is used up"),
    Reason("cover-open", "a cover is open"),
    Reason("door-open", "a door is open"),
    Reason("interlock-open", "a cover is open"),
    Reason("input-tray-missing", "the paper tray is missing"),
    Reason("output-area-full", "the output tray is full"),
    Reason("fuser-over-temp", "it is too hot"),
    Reason("spool-area-full", "the print server's disk is full"),
    Reason("offline", "it is switched off or unplugged"),
    Reason("shutdown", "it is switched off or unplugged"),
    Reason("timed-out", "it does not answer"),
    Reason("connecting-to-device", "it does not answer"),
    Reason("moving-to-paused", "it is being paused at the printer itself"),
    Reason("paused", "it is paused at the printer itself"),
    Reason("other", "it asks for somebody to look at it, and says no more"),
    Reason("cups-missing-filter", "a part of its driver is missing"),
    Reason("cups-insecure-filter", "a part of its driver may not be run"),
    Reason("cups-ipp-missing-job-history", "it was switched off while it printed; look whether the sheet came out"),
)
"""Reasons that keep a sheet from being printed. Others, such as marker-supply-low or none, do not."""

_MESSAGES = (
    (r"may not exist or is unavailable|unable to locate|not responding", "it is switched off or unplugged"),
    (r"no space left|disk full", "the print server's disk is full"),
    (r"print job canceled at printer", "the sheet was cancelled at the printer"),
    (r"cannot print supplied|cannot print with supplied|unsupported", "it refused the sheet"),
    (r"filter failed", "its driver failed"),
    (r"failed to connect|bad file descriptor|no such file or directory", "the print server does not answer"),
)
_LONGEST_TEXT = 120


def reason_of(reasons: Iterable[str]) -> str:
    """Return what keeps the printer from printing; empty if it can print."""
    said = tuple(reasons)
    for reason in REASONS:
        if any(keyword == reason.prefix or keyword.startswith(f"{reason.prefix}-") for keyword in said):
            return reason.meaning
    return ""


def message_of(text: str) -> str:
    """Return the meaning of one of CUPS's messages; empty if it names no fault that is known here."""
    for pattern, meaning in _MESSAGES:
        if re.search(pattern, text, re.IGNORECASE):
            return meaning
    return ""


def readable(text: str) -> str:
    """Return a message's meaning, or the message itself if it is fit to be shown."""
    line = " ".join(text.split()).rstrip(".")
    if meaning := message_of(line):
        return meaning
    return line if line and len(line) <= _LONGEST_TEXT and line.isprintable() else "it gave no reason"
