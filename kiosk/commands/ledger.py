"""Report what the booth did in a day, a month or a year, from its ledger; works while it runs.

With --all, --region or --booth it reports on several booths, from the office's database to which they send their facts.
With --restore it puts one of the ledger's daily copies in its place, while the booth is stopped; nothing is deleted.
"""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.arguments import file_in
from kiosk.commands.output import SETTINGS, write
from kiosk.errors import EXIT_DONE, BadCommand

if TYPE_CHECKING:
    from kiosk.core.session.business_report import Period


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("period", nargs="?", metavar="PERIOD", help="2026-11-25, 2026-11 or 2026; without it, today")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    parser.add_argument("--file", type=Path, metavar="FILE", help="another ledger, such as one that was set aside")
    parser.add_argument(
        "--csv", type=file_in(".csv"), metavar="FILE", help="also write a CSV file with a row per day, or per booth"
    )
    parser.add_argument("--pdf", type=file_in(".pdf"), metavar="FILE", help="also write a page with charts")
    several = parser.add_mutually_exclusive_group()
    several.add_argument("--all", action="store_true", help="report on all booths")
    several.add_argument("--region", metavar="NAME", help="report on the booths of a region")
    several.add_argument("--booth", metavar="NAME", help="report on a booth as the office knows it")
    parser.add_argument(
        "--database",
        metavar="ADDRESS",
        help="the office's database, postgresql+psycopg://…; without it, that of the settings",
    )
    parser.add_argument("--json", action="store_true", help="with several booths: print one object instead of the text")
    parser.add_argument(
        "--restore", type=Path, metavar="COPY", help="put a copy in the ledger's place; a folder stands for its newest"
    )


def run(options: argparse.Namespace) -> int:
    """Print the report and write the requested files, or restore a copy."""
    if options.restore is not None:
        return _restore(options)
    if options.all or options.region is not None or options.booth is not None:
        from kiosk.commands.ledger_of_many import report_on_many

        return report_on_many(options)
    if options.database is not None or options.json:
        raise BadCommand(detail="--database and --json go with --all, --region or --booth")
    from kiosk.render.report.business import trade_csv, trade_text
    from kiosk.settings import read_settings
    from kiosk.store.ledger.reading import read_trade
    from kiosk.system.clock import SystemClock

    today = SystemClock().today()
    period = period_of(options.period, today)
    settings = read_settings(options.settings) if options.file is None else None
    path, booth = (settings.ledger_file, settings.booth.name) if settings else (options.file, "")
    trade = read_trade(path, period)
    print(trade_text(trade, booth))
    if options.csv is not None:
        write(options.csv, trade_csv(trade).encode())
    if options.pdf is not None:
        from kiosk.render.report.business_pdf import trade_pdf

        write(options.pdf, trade_pdf(trade, booth, today))
    return EXIT_DONE


def period_of(text: str | None, today: date) -> Period:
    """Return the period that the command line names; without one, today."""
    from kiosk.core.session.business_report import Period

    try:
        return Period.parse(text or today.isoformat())
    except ValueError as error:
        raise BadCommand(detail=str(error)) from error


def _restore(options: argparse.Namespace) -> int:
    from kiosk.settings import read_settings
    from kiosk.store.ledger.copies import newest_in, restore
    from kiosk.system.clock import SystemClock

    if any((options.period, options.file, options.csv, options.pdf, options.all, options.region, options.booth)):
        raise BadCommand(detail="--restore goes with --settings alone")
    copy, ledger = options.restore, read_settings(options.settings).ledger_file
    if copy.is_dir():
        copy = newest_in(copy)
    kept = restore(copy, ledger, SystemClock().now())
    print(f"{copy} is the ledger now." + (f" The one before it is kept as {kept}." if kept is not None else ""))
    return EXIT_DONE
