"""Print a sheet at true scale, on a queue whose scale is proven.

The sheet is a PDF as `holdstill sheet` writes it. It goes to the named queue of the settings, or to the first one that
holds its paper, unscaled and moved against what the ruler page has shown of the printer. The command ends when the
sheet is out, and says so where nobody can know; a sheet of another size than the paper is refused.
"""

from __future__ import annotations

import argparse
import secrets
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.arguments import file_in, whole_number
from kiosk.commands.output import SETTINGS, count_of, notice
from kiosk.errors import EXIT_DONE, BadCommand, OtherPaper, SheetUnknown, shown

if TYPE_CHECKING:
    from kiosk.devices.cups.printer import CupsPrinter
    from kiosk.render.sheet.read_back import FinishedSheet

_MOST_COPIES = 100
"""A slip of the finger must not empty the tray (this project's own limit)."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("sheet", type=file_in(".pdf"), metavar="SHEET", help="the PDF to print")
    parser.add_argument("--queue", metavar="NAME", help="a queue of the settings; without it, the first with the paper")
    parser.add_argument(
        "--copies", type=whole_number(1, _MOST_COPIES), default=1, metavar="N", help="the number of sheets"
    )
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")


def run(options: argparse.Namespace) -> int:
    """Print the sheet, and wait for its end."""
    from kiosk.devices.backends import queues_of
    from kiosk.devices.base import PrintJob
    from kiosk.render.sheet.read_back import read_sheet
    from kiosk.settings import read_settings
    from kiosk.system.clock import SystemClock

    sheet = read_sheet(options.sheet)
    queues = queues_of(read_settings(options.settings), SystemClock())
    printer = _with_paper(queues, options.queue, sheet, options.sheet)
    notice(f"{options.sheet} goes to {printer.name}.")
    key = f"print-{secrets.token_hex(8)}"
    try:
        place = printer.print_sheet(PrintJob(key, sheet.pdf, printer.medium.name, options.copies))
    except KeyboardInterrupt:
        raise SheetUnknown(printer=printer.name, detail="the command was interrupted meanwhile") from None
    print(f"{count_of(options.copies, 'sheet')} of {shown(options.sheet)} printed on {printer.medium.short} at {place}")
    return EXIT_DONE


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
