"""The questions on the printer and its papers; each function returns a section's keys."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Callable
from typing import Any

from kiosk.core.sheet.media import medium
from kiosk.setup.ask import InvalidAnswer, Terminal

Section = dict[str, Any]
PRINTERS = {
    "folder": "they are kept in a folder as exact PDF files",
    "cups": "by the machine's print server",
}


def printer(ask: Terminal, now: Section, state_folder: str) -> Section:
    """Ask where to print."""
    ask.heading("The printer")
    backend = ask.choice("How are sheets printed?", PRINTERS, now["backend"])
    if backend == "folder":
        return {"backend": "folder", "folder": ask.text("The folder", now.get("folder", f"{state_folder}/prints"))}
    same = now if now["backend"] == backend else {}
    found = _queues()
    ask.say("Queues of the print server: " + (", ".join(found) if found else "none; make one before you go on."))
    answers: Section = {
        "queue": ask.value("The queue", _queue, same.get("queue") or (found[0] if found else "?")),
        "borderless": ask.yes("Has its paper no margins", default=same.get("borderless", False)),
    }
    before = same.get("second") or {}
    spare = "A second queue with the same paper, for sheets that the first cannot print; - for none"
    second = ask.value(spare, _other_queue(answers["queue"]), before.get("queue", "-"))
    answers["second"] = {**before, "queue": second} if second else None
    ask.say("Its scale must be proven before it prints documents: `holdstill ruler` prints a page to measure.")
    return {**same, "backend": backend, **answers}


def paper(ask: Terminal, now: Section, printer_now: Section) -> Section:
    """Ask which paper is in the printer, and which other one sitters can choose."""
    ask.heading("The paper")
    size = ask.value("The paper in the printer", lambda text: medium(text).short, now["medium"])
    margins = ask.value(
        "What the printer cannot reach: left, top, right, bottom in mm",
        _millimetres(4),
        ", ".join(f"{length:g}" for length in now["margins_mm"]),
    )
    (gutter,) = ask.value("Between two photos, in mm", _millimetres(1), f"{now['gutter_mm']:g}")
    more = _more(ask, now.get("more", []), size, printer_now)
    return {"medium": size, "margins_mm": margins, "gutter_mm": gutter, "more": more}


def _more(ask: Terminal, before: list[Section], size: str, printer_now: Section) -> list[Section] | None:
    """Ask for another paper; its remaining keys stay as they are, and so does a third paper."""
    first = before[0] if before else {}
    other = "Another paper that sitters can choose, in a printer of its own; - for none"
    name = ask.value(other, _other_paper(size), first.get("medium", "-"))
    if not name:
        return None
    same = first if first.get("medium") == name else {}
    margins = ask.value(
        "What its printer cannot reach: left, top, right, bottom in mm",
        _millimetres(4),
        ", ".join(f"{length:g}" for length in same.get("margins_mm", [3.0] * 4)),
    )
    answers: Section = {**same, "medium": name, "margins_mm": margins}
    if printer_now["backend"] == "cups":
        answers["queue"] = ask.value("Its queue", _other_queue(printer_now["queue"]), same.get("queue", "?"))
        if not answers["queue"]:
            return None
    return [answers, *before[1:]]


def _queues() -> list[str]:
    """Return the queues of this machine's print server; empty if there is no print server."""
    try:
        listed = subprocess.run(
            ["lpstat", "-p"], env={**os.environ, "LC_ALL": "C"}, capture_output=True, text=True, timeout=5, check=False
        )
    except (OSError, subprocess.TimeoutExpired):
        return []
    return re.findall(r"^printer (\S+) ", listed.stdout, re.MULTILINE)


def _queue(text: str) -> str:
    if not re.fullmatch(r"[^\s/#?]+", text):
        raise InvalidAnswer("give the name of a queue, as `lpstat -p` lists it")
    return text


def _other_queue(first: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text == first:
            raise InvalidAnswer("that is the first queue; give another one, or - for none")
        return "" if text == "-" else _queue(text)

    return read


def _other_paper(first: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        name = "" if text == "-" else medium(text).short
        if name == first:
            raise InvalidAnswer("that is the paper in the first printer; give another one, or - for none")
        return name

    return read


def _millimetres(count: int) -> Callable[[str], list[float] | tuple[float, ...]]:
    def read(text: str) -> list[float]:
        lengths = [float(part) for part in text.replace(",", " ").split()]
        lengths = lengths * count if len(lengths) == 1 else lengths
        if len(lengths) != count or not all(0 <= length <= 50 for length in lengths):
            raise InvalidAnswer(f"give {count} lengths of 0 to 50 mm" if count > 1 else "give a length of 0 to 50 mm")
        return lengths

    return read
