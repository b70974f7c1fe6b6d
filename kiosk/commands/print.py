"""Print a sheet at true scale, on a queue whose scale is proven.

The sheet is a PDF as `holdstill sheet` writes it. It goes to the named queue of the settings, or to the first one that
holds its paper, unscaled and moved against what the ruler page has shown of the printer. The command ends when the
sheet is out, and says so where nobody can know; a sheet of another size than the paper is refused.

Where the settings have `reprint_minutes`, the sheet gets a number, by which --again prints it once more within that
time, on the same queue unless another is named, and only if its file is still the same. Sheets of the booth itself are
printed again at the attendant's desk.
"""

from __future__ import annotations

import argparse
import secrets
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.arguments import file_in, whole_number
from kiosk.commands.output import SETTINGS, count_of, notice
from kiosk.errors import EXIT_DONE, BadCommand, NotPrintedAgain, OtherPaper, SheetUnknown, shown

if TYPE_CHECKING:
    from kiosk.devices.cups.printer import CupsPrinter
    from kiosk.render.sheet.read_back import FinishedSheet
    from kiosk.store.printing.counter_sheets import CounterSheets

_MOST_COPIES = 100
"""A slip of the finger must not empty the tray (this project's own limit)."""
_MOST_NUMBER = 10**9


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("sheet", type=file_in(".pdf"), nargs="?", metavar="SHEET", help="the PDF to print")
    what.add_argument(
        "--again",
        type=whole_number(1, _MOST_NUMBER),
        metavar="NUMBER",
        help="print a sheet of a short while ago once more",
    )
    parser.add_argument("--queue", metavar="NAME", help="a queue of the settings; without it, the first with the paper")
    parser.add_argument(
        "--copies", type=whole_number(1, _MOST_COPIES), default=1, metavar="N", help="the number of sheets"
    )
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")


def run(options: argparse.Namespace) -> int:
    """Print the sheet, and wait for its end."""
    from kiosk.devices.base import PrintJob
    from kiosk.devices.print_backends import queues_of
    from kiosk.render.sheet.read_back import read_sheet
    from kiosk.settings import read_settings
    from kiosk.store.printing.counter_sheets import CounterSheets
    from kiosk.system.clock import SystemClock

    clock, settings = SystemClock(), read_settings(options.settings)
    sheets = CounterSheets(settings.printing / "counter.json", settings.attendant.reprint_minutes, clock)
    if options.again is None:
        path, queue = options.sheet, options.queue
        sheet = read_sheet(path)
    else:
        path, queue, sheet = _again(sheets, options, settings.attendant.reprint_minutes)
    printer = _with_paper(queues_of(settings, clock), queue, sheet, path)
    number = sheets.note(path, sheet.pdf, printer.name) if options.again is None else options.again
    notice(f"{path} goes to {printer.name}{f' as number {number}' if number else ''}.")
    key = f"print-{secrets.token_hex(8)}"
    try:
        place = printer.print_sheet(PrintJob(key, sheet.pdf, printer.medium.name, options.copies))
    except KeyboardInterrupt:
        raise SheetUnknown(printer=printer.name, detail="the command was interrupted meanwhile") from None
    known = f", as number {number}" if number else ""
    print(f"{count_of(options.copies, 'sheet')} of {shown(path)} printed on {printer.medium.short} at {place}{known}")
    if number:
        minutes = count_of(settings.attendant.reprint_minutes, "minute")
        notice(f"For {minutes} from the first print, --again {number} prints it once more.")
    return EXIT_DONE


def _again(sheets: CounterSheets, options: argparse.Namespace, minutes: int) -> tuple[Path, str, FinishedSheet]:
    """Return the file of a number, its queue unless another is named, and the sheet, which is still the same."""
    from kiosk.render.sheet.read_back import read_sheet

    if not minutes:
        raise NotPrintedAgain(number=options.again, detail="the settings have no attendant.reprint_minutes")
    noted = sheets.get(options.again)
    if noted is None:
        within = count_of(minutes, "minute")
        raise NotPrintedAgain(number=options.again, detail=f"no such number was given in the last {within}")
    sheet = read_sheet(noted.path)
    if not noted.is_of(sheet.pdf):
        raise NotPrintedAgain(number=options.again, detail=f"{noted.path} has changed since")
    return noted.path, options.queue or noted.queue, sheet


def _with_paper(queues: list[CupsPrinter], name: str | None, sheet: FinishedSheet, path: Path) -> CupsPrinter:
    """Return the named queue, or the first that holds the sheet's paper."""
    from kiosk.devices.cups.fitted import PAGE_TOLERANCE_MM
    from kiosk.render.sheet.read_back import alike

    if not queues:
        raise BadCommand(detail="the settings' printer is a folder; `holdstill setup` names a queue")
    named = [queue for queue in queues if name in (None, queue.name)]
    if not named:
        raise BadCommand(detail=f"the settings name no queue {name!r}, but {', '.join(one.name for one in queues)}")
    for queue in named:
        if alike(queue.medium.size_mm, sheet.size_mm, PAGE_TOLERANCE_MM):
            return queue
    size = f"{sheet.size_mm.width:.1f} x {sheet.size_mm.height:.1f} mm"
    held = ", ".join(f"{queue.medium.short} in {queue.name}" for queue in named)
    raise OtherPaper(path=path, size=size, held=held)
