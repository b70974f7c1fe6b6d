"""The questions on the printer and its papers; each function returns a section's keys."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Callable
from typing import Any

from kiosk.core.sheet.media import MEDIA, medium
from kiosk.devices.cups.profile import PrinterProfile, make_and_model_in, printer_profile_of, shipped_printers
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
    queue = ask.value("The queue", _queue, same.get("queue") or (found[0] if found else "?"))
    options = _options(ask, _known_of(queue), same.get("options", {}))
    answers: Section = {
        "queue": queue,
        **({"options": options} if options else {}),
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
    size = ask.value("The paper in the printer", _paper, now["medium"])
    size, reach = _as_the_driver_has_it(ask, size, printer_now, now)
    margins = ask.value(
        "What the printer cannot reach: left, top, right, bottom in mm",
        _millimetres(4),
        ", ".join(f"{length:g}" for length in reach),
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


def _options(ask: Terminal, profile: PrinterProfile | None, now: dict[str, str]) -> dict[str, str]:
    """Say what is known of a queue's driver, and return its options; one that is set already stays as it is."""
    if profile is None:
        return now
    ask.say(f"This queue is one of: {profile.family}.")
    for fault in profile.faults:
        ask.say(f"Known of them: {fault.what}. {fault.remedy[:1].upper()}{fault.remedy[1:]}. ({fault.source})")
    new = {name: value for name, value in profile.options.items() if name not in now}
    listed = ", ".join(f"{name}={value}" for name, value in new.items())
    if new and ask.yes(f"Set what is advised for their driver, {listed}", default=True):
        return {**now, **new}
    return now


def _as_the_driver_has_it(
    ask: Terminal, size: str, printer_now: Section, now: Section
) -> tuple[str, tuple[float, ...] | list[float]]:
    """Return the paper and its margins, those of the driver's own page where its size differs and that is wanted."""
    profile = _known_of(printer_now["queue"]) if printer_now["backend"] == "cups" else None
    page = profile.page_for(size) if profile is not None else None
    if page is None or page.setting == size:
        return size, now["margins_mm"]
    width, height = page.page_mm
    ask.say(
        f"The driver has no page of that size: it calls this paper {page.keyword} and prints {width:g} x {height:g} mm "
        "over its edges. The booth finds it by either name. Written as the driver's page, its margins are measured "
        "from that page's edges, and keep to what the paper shows of it."
    )
    if ask.yes(f"Write it as {page.setting}", default=True):
        return page.setting, page.margins_mm
    return size, now["margins_mm"]


def _queues() -> list[str]:
    """Return the queues of this machine's print server; none where there is no print server."""
    return re.findall(r"^printer (\S+) ", _printed_by("lpstat", "-p"), re.MULTILINE)


def _known_of(queue: str) -> PrinterProfile | None:
    """Return what is known of the printers with a queue's driver; None without a print server."""
    return printer_profile_of(make_and_model_in(_printed_by("lpoptions", "-p", queue)), shipped_printers())


def _printed_by(*command: str) -> str:
    """Return what one of the print server's commands prints in English; nothing where it is not installed or hangs."""
    english = {**os.environ, "LC_ALL": "C"}
    try:
        return subprocess.run(command, env=english, capture_output=True, text=True, timeout=5, check=False).stdout
    except (OSError, subprocess.TimeoutExpired):
        return ""


def _paper(text: str) -> str:
    """Return a paper's name that the settings read again: short where it has a short one of its own."""
    found = medium(text)
    return found.short if found in MEDIA else found.name


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
        name = "" if text == "-" else _paper(text)
        if name == first:
            raise InvalidAnswer("that is the paper in the first printer; give another one, or - for none")
        return name

    return read


def _millimetres(count: int) -> Callable[[str], list[float] | tuple[float, ...]]:
    def read(text: str) -> list[float]:
        try:
            lengths = [float(part) for part in text.replace(",", " ").split()]
        except ValueError:
            lengths = []
        lengths = lengths * count if len(lengths) == 1 else lengths
        if len(lengths) != count or not all(0 <= length <= 50 for length in lengths):
            raise InvalidAnswer(f"give {count} lengths of 0 to 50 mm" if count > 1 else "give a length of 0 to 50 mm")
        return lengths

    return read
