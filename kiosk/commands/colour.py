"""Print the colour page, and record what was measured on it: whether a printer's greys are neutral and its tones right.

Without more, the page is printed on the first queue of the settings, through the queue's profile. `--photo` or
`--readings` then shows what came out; it is kept for that printer and paper. `--list` shows what is kept. With `-o` the
page is written as a PDF, and what is measured on it is not kept. It ends with 1 where the colour is not right.
"""

from __future__ import annotations

import argparse
import secrets
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.output import SETTINGS, json_text, notice, write
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, BadCommand, ColourUnproven, UnreadableColours, os_reason

if TYPE_CHECKING:
    from kiosk.core.print_colour.judging import Deviation
    from kiosk.core.print_colour.proof import ColourPage, ColourProof
    from kiosk.core.print_colour.reading import Reading
    from kiosk.devices.cups.printer import CupsPrinter
    from kiosk.settings import Settings

_MEASURE = (
    "Let it dry. Lay it on a grey card of 18 %, or the card along its right edge, in even light;\n"
    "photograph or scan both whole, and give the picture:\n"
    "    holdstill colour --photo FILE\n"
    "Or type the readings of an instrument into a table: a line patch,l,a,b (L*a*b*, D50) or patch,r,g,b\n"
    "(Status A densities), then a line for paper and for each of D1 to D10, and more if you like:\n"
    "    holdstill colour --readings FILE"
)
_NEXT = "Name the profile of this printer and paper in the settings, or have one made; then print another page."
_WORDS = (
    "Colour page: lay it on a grey card of 18 %, or the card along its",
    "right edge, and photograph both: holdstill colour --photo FILE",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--photo", type=Path, metavar="FILE", help="a photo or a scan of the page beside a grey card")
    what.add_argument("--readings", metavar="FILE", help="a table of an instrument's readings; - for standard input")
    what.add_argument("--list", action="store_true", help="show what is kept of each printer")
    what.add_argument("-o", "--output", type=Path, metavar="FILE", help="write the page as a PDF, do not print it")
    parser.add_argument("--printer", metavar="QUEUE", help="a queue of the settings; without it, the first")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    parser.add_argument("--json", action="store_true", help="print one object per printer, each on a line")


def run(options: argparse.Namespace) -> int:
    """Do what was asked; return 1 where a printer's colour was measured and is not right."""
    from kiosk.settings import read_settings

    settings = read_settings(options.settings)
    if options.list:
        return _list(settings, as_json=options.json)
    printer = _printer(settings, options.printer)
    if options.output is not None:
        page = printer.colour.next_page()
        # A page of its own number, so that none of its prints is taken for one that the queue has printed.
        unkept = replace(page, chart=replace(page.chart, number=0))
        write(options.output, _pdf(printer, unkept, "written"))
        notice("What is measured on a page from a file is not kept: print one without -o.")
        return EXIT_DONE
    if options.photo or options.readings:
        return _record(options, printer)
    return _print(printer)


def _print(printer: CupsPrinter) -> int:
    from kiosk.devices.base import PrintJob

    page = printer.colour.next_page()
    number = page.chart.number
    pdf = _pdf(printer, page, f"page {number}, printed")
    place = printer.print_colours(PrintJob(f"colour-{secrets.token_hex(8)}", pdf, printer.medium.name), page)
    print(f"Page {number} went to {place}. {_MEASURE}")
    return EXIT_DONE


def _record(options: argparse.Namespace, printer: CupsPrinter) -> int:
    """Measure the page printed last, and show whether its colour is right."""
    from kiosk.core.print_colour.proof import refusal
    from kiosk.system.clock import SystemClock

    page = printer.colour.page()
    if page is None:
        raise ColourUnproven(printer=printer.name, detail="no colour page was printed on it")
    proof = printer.colour.record(_readings(options, page), typed=bool(options.readings))
    why = refusal(proof, page.set_up, SystemClock().today())
    if options.json:
        print(json_text(_as_json(printer.name, printer.medium.name, proof, why)))
        return EXIT_NOT_CONFORMING if why else EXIT_DONE
    print(f"Page {page.chart.number} of {printer.name} on {printer.medium.short}, printed on {page.printed_on}:")
    _show(proof)
    if why:
        print(f"Its colour is not right: {why}.\n{_NEXT}")
    else:
        print(f"Its colour is proven until {proof.ends_on}; measure a page again from {proof.due_on} on.")
    return EXIT_NOT_CONFORMING if why else EXIT_DONE


def _readings(options: argparse.Namespace, page: ColourPage) -> dict[str, Reading]:
    """Return what a picture or a table says of a page."""
    if options.photo:
        from kiosk.vision.pictures.photo_file import read_photo
        from kiosk.vision.targets.colour_page import read_colour_page

        return read_colour_page(read_photo(options.photo).rgb, page.chart)
    from kiosk.core.print_colour.reading import typed_readings
    from kiosk.system.plain_file import read_plain

    try:
        text = sys.stdin.read() if options.readings == "-" else read_plain(Path(options.readings)).decode("utf-8")
    except OSError as error:
        raise UnreadableColours(detail=f"{options.readings}: {os_reason(error)}") from error
    except UnicodeDecodeError as error:
        raise UnreadableColours(detail=f"{options.readings} is no text") from error
    return typed_readings(text)


def _list(settings: Settings, *, as_json: bool) -> int:
    """Show what is kept; the settings' own queues as they stand now."""
    from kiosk.devices.print_backends import queues_of
    from kiosk.system.clock import SystemClock

    queues = queues_of(settings, SystemClock())
    for queue in queues:
        proof, standing = queue.colour.proof(), queue.standing()
        why = standing.colour.refusal if standing.colour is not None else "its colour was never measured"
        if as_json:
            print(json_text(_as_json(queue.name, queue.medium.name, proof, why)))
            continue
        print(f"{queue.name} on {queue.medium.name}:")
        if proof is not None:
            print(f"  page of {proof.printed_on}")
            _show(proof)
        print(f"  It is not proven: {why}." if why else "  Its colour is proven.")
    if not queues:
        print("The settings name no queue.")
    return EXIT_DONE


def _printer(settings: Settings, name: str | None) -> CupsPrinter:
    from kiosk.devices.print_backends import queues_of
    from kiosk.system.clock import SystemClock

    queues = {queue.name: queue for queue in reversed(queues_of(settings, SystemClock()))}
    if not queues:
        raise BadCommand(detail="the settings' printer is a folder, which has no colours of its own")
    found = queues.get(name) if name is not None else list(queues.values())[-1]
    if found is None:
        raise BadCommand(detail=f"the settings name no queue {name!r}, but {', '.join(reversed(queues))}")
    return found


def _pdf(printer: CupsPrinter, page: ColourPage, how: str) -> bytes:
    from kiosk.render.sheet.colour_page import colour_pdf

    return colour_pdf(page.chart, [*_WORDS, printer.name, f"{printer.medium.short}, {how} {page.printed_on}"])


def _show(proof: ColourProof) -> None:
    found = proof.found
    print(f"  greys    {_shown(found.cast)} off neutral at most")
    print(f"  tones    {_shown(found.tone)} off in L* at most; the darkest has an L* of {found.black_l:.0f}")
    for name, value in (("colours", found.colours), ("skins", found.skins)):
        if value is not None:
            print(f"  {name:8} {value:.1f} off on average (CIEDE2000)")
    if proof.drift is not None:
        print(f"  drift    {proof.drift:.1f} at most since the page before")


def _shown(found: Deviation) -> str:
    return f"{found.value:.1f} (± {found.uncertainty:.1f})"


def _as_json(printer: str, medium: str, proof: ColourProof | None, why: str) -> dict[str, object]:
    shown: dict[str, object] = {"printer": printer, "medium": medium, "proven": not why, "reason": why}
    if proof is None:
        return shown
    found = proof.found
    shown |= {"printed_on": proof.printed_on.isoformat(), "ends_on": proof.ends_on.isoformat()}
    shown |= {name: _rounded(one) for name, one in (("cast", found.cast.value), ("tone", found.tone.value))}
    shown |= {
        "cast_uncertainty": _rounded(found.cast.uncertainty),
        "tone_uncertainty": _rounded(found.tone.uncertainty),
    }
    shown |= {"black_l": _rounded(found.black_l), "colours": _rounded(found.colours), "skins": _rounded(found.skins)}
    return {**shown, "drift": _rounded(proof.drift)}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)
