"""The ledger of a booth, its copies on a second medium, and what an office is sent of it."""

from __future__ import annotations

import contextlib
import logging
from collections.abc import Iterator
from functools import partial

from kiosk.devices.print_backends import printers_standing
from kiosk.errors import KioskError, MissingPart, OfficeUnreachable
from kiosk.settings import Settings
from kiosk.store.desk_memory import DeskMemory
from kiosk.store.fleet.office import BoothStanding, Office, SupplyLeft
from kiosk.store.fleet.sender import Sender
from kiosk.store.ledger import Bookkeeper
from kiosk.store.ledger.copier import copied_daily
from kiosk.store.ledger.writer import HowItEnded
from kiosk.system.clock import Clock

_log = logging.getLogger(__name__)


@contextlib.contextmanager
def kept_ledger(settings: Settings, clock: Clock, how_it_ended: HowItEnded) -> Iterator[Bookkeeper]:
    """Open the ledger, which is copied to a second medium each day and when it has been closed, and sent to an office.

    An office's address that is none, or a missing driver, is left to the checks: the facts are kept until it is mended.

    Raises
    ------
    LedgerForeign, LedgerShared, CannotWrite
        As `Bookkeeper` does.
    """
    url = settings.ledger.database
    with (
        copied_daily(settings.ledger_file, settings.copies_folder, settings.copies.days, clock),
        contextlib.closing(Bookkeeper(settings.ledger_file, clock, how_it_ended, is_sent=bool(url))) as ledger,
        contextlib.ExitStack() as sending,
    ):
        if office := _office(url):
            standing = partial(booth_standing, settings, clock)
            sending.enter_context(contextlib.closing(Sender(office, settings.booth.name, ledger, standing, clock)))
        yield ledger


def _office(url: str) -> Office | None:
    """Return the office's database, or None where there is none, or none that could ever be reached."""
    try:
        return Office(url) if url else None
    except (OfficeUnreachable, MissingPart) as error:
        _log.error("Facts are kept and not sent. %s %s", error, error.advice)
        return None


def booth_standing(settings: Settings, clock: Clock) -> BoothStanding:
    """Return what an office is to know of the booth now; asking the printers takes some seconds."""
    try:
        supplies = [supply for printer in printers_standing(settings, clock) for supply in printer.supplies]
    except KioskError as error:
        _log.info("what is left in the printers is unknown: %s", error)
        supplies = []
    return BoothStanding(
        settings.ledger.region,
        DeskMemory(settings.path(settings.booth.state_folder) / "desk.json").get().sheets,
        settings.attendant.few_sheets,
        tuple(SupplyLeft(supply.name, supply.percent, supply.few_percent) for supply in supplies),
    )
