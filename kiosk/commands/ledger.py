"""Report what the booth did in a day, a month or a year, from its ledger; works while it runs."""

from __future__ import annotations

import argparse
from pathlib import Path

from kiosk.commands.arguments import file_in
from kiosk.commands.output import SETTINGS, write
from kiosk.errors import EXIT_DONE, BadCommand


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("period", nargs="?", metavar="PERIOD", help="2026-11-25, 2026-11 or 2026; without it, today")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    parser.add_argument("--file", type=Path, metavar="FILE", help="another ledger, such as one that was set aside")
    parser.add_argument("--csv", type=file_in(".csv"), metavar="FILE", help="also write a CSV file with a row per day")
    parser.add_argument("--pdf", type=file_in(".pdf"), metavar="FILE", help="also write a page with charts")


def run(options: argparse.Namespace) -> int:
    """Print the report, and write the requested files."""
    from kiosk.core.session.business_report import Period
    from kiosk.render.report.business import trade_csv, trade_text
    from kiosk.settings import read_settings
    from kiosk.store.ledger.reading import read_trade
    from kiosk.system.clock import SystemClock

    today = SystemClock().now().date()
    try:
        period = Period.parse(options.period or today.isoformat())
    except ValueError as error:
        raise BadCommand(detail=str(error)) from error
    settings = read_settings(options.settings) if options.file is None else None
    path, booth = (settings.ledger, settings.booth.name) if settings else (options.file, "")
    trade = read_trade(path, period)
    print(trade_text(trade, booth))
    if options.csv is not None:
        write(options.csv, trade_csv(trade).encode())
    if options.pdf is not None:
        from kiosk.render.report.business_pdf import trade_pdf

        write(options.pdf, trade_pdf(trade, booth, today))
    return EXIT_DONE
