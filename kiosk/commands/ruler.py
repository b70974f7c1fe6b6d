"""Print the ruler page, and record what was measured on it: a printer prints documents only at a proven scale.

Without more, the page is printed on the first queue of the settings. `--read`, `--scan` or `--photo` then judges what
came out; it is kept for that printer, paper and quality, and the next sheet is moved against it. `--list` shows what is
kept. With `-o` the page is written as a PDF, and with `--paper` no settings are read and nothing is kept. It ends with
1 where documents must not be printed.
"""

from __future__ import annotations

import argparse
import secrets
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.arguments import file_in, number_above
from kiosk.commands.output import SETTINGS, json_text, notice, write
from kiosk.commands.ruler_scale import axis_json, measured_scale, print_scale
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, BadCommand, shown

if TYPE_CHECKING:
    from kiosk.core.print_scale.proof import Proof
    from kiosk.core.print_scale.ruler import Ruler
    from kiosk.devices.cups.printer import CupsPrinter
    from kiosk.settings import Settings
    from kiosk.store.printing.scales import ScaleFile

_MEASURE = (
    "Measure both rules with a steel ruler, from middle to middle of their ends,\n"
    "and type the millimetres, across and down:\n"
    "    holdstill ruler --read ACROSS,DOWN\n"
    "Their lengths differ from page to page.\n"
    "Or give a flatbed scan (--scan FILE), or a photo beside a card of 85.60 x 53.98 mm (--photo FILE)."
)


_SCALING = (
    "Scaling is on, for both directions are off alike or by far: look for fitting to the page, or for borderless\n"
    "printing, in the driver's options. If there is none, print another page: it is moved against this error."
)
_OF_A_PAPER = "Print it at 100 %, without fitting to the page or enlarging it to the edges, and measure another page."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the command takes."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--read", metavar="X,Y[,LEFT,TOP]", help="what a ruler read, in mm; LEFT, TOP: where they begin")
    what.add_argument("--scan", type=Path, metavar="FILE", help="a flatbed scan of the page")
    what.add_argument("--photo", type=Path, metavar="FILE", help="a photo of the page beside an ID-1 card")
    what.add_argument("--list", action="store_true", help="show what is kept of each printer")
    what.add_argument(
        "-o", "--output", type=file_in(".pdf"), metavar="FILE", help="write the page as a PDF, do not print it"
    )
    parser.add_argument(
        "--dpi", type=number_above(0), metavar="N", help="pixels per inch of the scan, where its file is wrong"
    )
    parser.add_argument("--printer", metavar="QUEUE", help="a queue of the settings; without it, the first")
    parser.add_argument("--paper", metavar="NAME", help="a paper of your own, without settings: 4x6in, 90x120mm, a4 …")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="of the booth")
    parser.add_argument("--json", action="store_true", help="one object a printer, a line each")


def run(options: argparse.Namespace) -> int:
    """Do what was asked; 1 where a page was measured and documents must not be printed."""
    _check(options)
    if options.paper is not None:
        return _of_paper(options)
    from kiosk.settings import read_settings

    settings = read_settings(options.settings)
    if options.list:
        return _list(settings, as_json=options.json)
    printer = _printer(settings, options.printer)
    if options.output is not None:
        page = printer.scale.next_page()
        # Lengths of its own, so that none of its readings is taken for one of a page that the queue has printed.
        unkept = replace(page.ruler, number=0)
        write(options.output, _page(unkept, printer.name, printer.medium.short, page.printed_on))
        notice("What is measured on a page from a file is not kept: print one without -o.")
        return EXIT_DONE
    if options.read or options.scan or options.photo:
        return _record(options, printer)
    return _print(printer)


def _check(options: argparse.Namespace) -> None:
    """Refuse options that would not be heeded."""
    if options.dpi is not None and options.scan is None:
        raise BadCommand(detail="--dpi is for a --scan")
    if options.printer is not None and options.list:
        raise BadCommand(detail="--list shows every printer; leave out --printer")
    if options.paper is not None and (options.printer is not None or options.settings is not SETTINGS):
        raise BadCommand(detail="--paper is for a printer outside the settings; leave out --printer and --settings")


def _print(printer: CupsPrinter) -> int:
    from kiosk.devices.base import PrintJob

    page = printer.scale.next_page()
    pdf = _page(page.ruler, printer.name, printer.medium.short, page.printed_on, page.number)
    place = printer.print_ruler(PrintJob(f"ruler-{secrets.token_hex(8)}", pdf, printer.medium.name), page)
    print(f"Page {page.number} went to {place}. {_MEASURE}")
    return EXIT_DONE


def _record(options: argparse.Namespace, printer: CupsPrinter) -> int:
    """Measure the page printed last, and print whether documents may be printed."""
    from kiosk.core.print_scale.meaning import as_a_photo
    from kiosk.core.print_scale.proof import drift, refusal
    from kiosk.errors import ScaleUnproven

    page, before = printer.scale.page(), printer.scale.proof()
    if page is None:
        raise ScaleUnproven(printer=printer.name, detail="no ruler page was printed on it")
    proof = printer.scale.record(measured_scale(options, page.ruler), typed=bool(options.read))
    why = refusal(proof, page.set_up, proof.measured_on)
    if options.json:
        print(json_text(_as_json(printer.name, printer.medium.name, proof, why)))
    else:
        print(f"Page {page.number} of {printer.name} on {printer.medium.short}, printed on {page.printed_on}:")
        print_scale(proof.found)
        print(as_a_photo(proof.found))
        if before is not None and before.set_up == proof.set_up and before.measured_on < proof.measured_on:
            print(f"Its own scale has moved by {100 * drift(before, proof):.2f} % since {before.measured_on}.")
        print(_verdict(proof, why))
    return EXIT_NOT_CONFORMING if why else EXIT_DONE


def _verdict(proof: Proof, why: str) -> str:
    from kiosk.core.print_scale.meaning import is_scaled

    if not why:
        return f"It may print documents until {proof.ends_on}; measure a page again from {proof.due_on} on."
    if is_scaled(proof.whole):
        return f"It must not print documents: {why}.\n{_SCALING}"
    return (
        f"It must not print documents: {why}.\n"
        "Print another page with `holdstill ruler`: it is moved against this error. Measure that one."
    )


def _of_paper(options: argparse.Namespace) -> int:
    """Write or measure a page of a paper, without a printer."""
    from kiosk.core.print_scale.meaning import as_a_photo, is_scaled, why_not
    from kiosk.core.print_scale.ruler import ruler_for
    from kiosk.core.sheet.imposition import Margins
    from kiosk.core.sheet.media import medium
    from kiosk.system.clock import SystemClock

    paper = medium(options.paper)
    ruler = ruler_for(paper.size_mm, Margins())
    if ruler is None:
        raise BadCommand(detail=f"the paper {paper.short} is too small for a ruler page")
    if options.output is not None:
        write(options.output, _page(ruler, "", paper.short, SystemClock().today()))
        print(f"{shown(options.output)}: print it at 100 %, without fitting to the page.")
        return EXIT_DONE
    if not (options.read or options.scan or options.photo):
        raise BadCommand(detail="a paper without a printer takes -o, --read, --scan or --photo")
    found = measured_scale(options, ruler)
    why = why_not(found)
    if options.json:
        judged = {"medium": paper.name, "may_print": not why, "reason": why}
        print(json_text({**judged, "across": axis_json(found.x), "down": axis_json(found.y)}))
    else:
        print_scale(found)
        print(as_a_photo(found))
        if why:
            cause = "scaling is on" if is_scaled(found) else "the printer's two directions differ"
            print(f"Documents must not be printed so: {why}; {cause}.\n{_OF_A_PAPER}")
        else:
            print("Documents may be printed so.")
    notice("Nothing is kept: no printer was named.")
    return EXIT_NOT_CONFORMING if why else EXIT_DONE


def _list(settings: Settings, *, as_json: bool) -> int:
    """Print what is kept; the settings' own queues as they stand now."""
    from kiosk.core.print_scale.proof import is_due, refusal
    from kiosk.devices.print_backends import kept_scales, queues_of
    from kiosk.system.clock import SystemClock

    today = SystemClock().today()
    kept = {(one.printer, one.medium): one for one in kept_scales(settings)}
    now = {}
    for queue in queues_of(settings, SystemClock()):
        standing = queue.standing()
        now[standing.printer, standing.medium] = standing.refusal or standing.obstacle
    for printer, medium in dict.fromkeys([*now, *kept]):
        one: ScaleFile | None = kept.get((printer, medium))
        proof = one.proof if one is not None else None
        why = now.get((printer, medium), "") or refusal(proof, proof.set_up if proof is not None else "", today)
        if as_json:
            print(json_text(_as_json(printer, medium, proof, why)))
            continue
        print(f"{printer} on {medium}:")
        if proof is not None:
            print(f"  measured on {proof.measured_on}")
            print_scale(proof.found)
            if is_due(proof, today):
                print(f"  It is time to measure a page again; it ends on {proof.ends_on}.")
        print(f"  {why}" if why else "  It may print documents.")
    if not (now or kept):
        print("Nothing is kept, and the settings name no queue.")
    return EXIT_DONE


def _printer(settings: Settings, name: str | None) -> CupsPrinter:
    from kiosk.devices.print_backends import queues_of
    from kiosk.system.clock import SystemClock

    queues = queues_of(settings, SystemClock())
    found = [queue for queue in queues if name in (None, queue.name)]
    if found:
        return found[0]
    if not queues:
        raise BadCommand(detail="the settings' printer is a folder; with --paper and -o the page is written as a PDF")
    raise BadCommand(detail=f"the settings name no queue {name!r}, but {', '.join(queue.name for queue in queues)}")


def _page(ruler: Ruler, printer: str, paper: str, day: date, number: int = 0) -> bytes:
    from kiosk.render.sheet.ruler import ruler_pdf

    name = f"page {number}, printed" if number else "written"
    return ruler_pdf(ruler, [text for text in (printer, f"{paper}, {name} {day}") if text])


def _as_json(printer: str, medium: str, proof: Proof | None, why: str) -> dict[str, object]:
    judged: dict[str, object] = {"printer": printer, "medium": medium, "may_print": not why, "reason": why}
    if proof is not None:
        judged |= {"measured_on": proof.measured_on.isoformat(), "ends_on": proof.ends_on.isoformat()}
        judged |= {"across": axis_json(proof.found.x), "down": axis_json(proof.found.y)}
    return judged
