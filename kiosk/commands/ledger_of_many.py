"""The report of `holdstill ledger` on several booths, from the office's database."""

from __future__ import annotations

import argparse
from decimal import Decimal

from kiosk.commands.ledger import period_of
from kiosk.commands.output import SETTINGS, json_text, write
from kiosk.errors import EXIT_DONE, BadCommand


def report_on_many(options: argparse.Namespace) -> int:
    """Print the report on a booth, a region or all, and write the requested files."""
    from kiosk.render.report.fleet import fleet_csv, fleet_json, fleet_text
    from kiosk.settings import read_settings
    from kiosk.settings.ledger import ADDRESS
    from kiosk.store.fleet.office import Office
    from kiosk.store.fleet.reading import read_fleet
    from kiosk.system.clock import SystemClock

    if options.file is not None:
        raise BadCommand(detail="--file is a booth's own ledger, and goes without --all, --region and --booth")
    today = SystemClock().today()
    period = period_of(options.period, today)
    needed = options.database is None or options.settings is not SETTINGS or SETTINGS.exists()
    settings = read_settings(options.settings) if needed else None
    url = options.database or (settings.ledger.database if settings else "")
    if url and not url.startswith(ADDRESS):
        raise BadCommand(detail=f"the address of --database begins with {ADDRESS}")
    if not url:
        raise BadCommand(detail="name the office's database with --database, or as ledger.database in the settings")

    def price_of(document: str) -> Decimal | None:
        return settings.prices.of(document) if settings else None

    currency = settings.prices.currency if settings else ""
    report = read_fleet(Office(url), period, price_of, currency, options.booth, options.region)
    print(json_text(fleet_json(report)) if options.json else fleet_text(report))
    if options.csv is not None:
        write(options.csv, fleet_csv(report).encode())
    if options.pdf is not None:
        from kiosk.render.report.fleet_pdf import fleet_pdf

        write(options.pdf, fleet_pdf(report, today))
    return EXIT_DONE
