"""The attendant's desk put together: its checks of the booth, its test shots and its page."""

from __future__ import annotations

import contextlib
import logging
from collections.abc import Iterator
from datetime import timedelta
from functools import partial

from kiosk import __version__
from kiosk.booth.attendant_desk import AttendantDesk, DeskComponents, Page
from kiosk.booth.config import desk_config
from kiosk.catalogue.bundle import version_of
from kiosk.catalogue.documents import Catalogue
from kiosk.catalogue.installed import in_force
from kiosk.core.document.confirmation import current_on
from kiosk.core.view.finding import Finding
from kiosk.core.view.metrics import Installed
from kiosk.devices.backends import still_px_of
from kiosk.devices.print_backends import printers_standing
from kiosk.page.messages import Endpoint, Monitoring, Serve
from kiosk.page.supervisor import SupervisedPage
from kiosk.pipeline.offering import layout_of
from kiosk.ready.booth import booth_findings
from kiosk.ready.program import installed_versions
from kiosk.ready.shot import look_at_shot
from kiosk.settings import Settings
from kiosk.store.desk_memory import DeskMemory
from kiosk.system.clock import Clock

_log = logging.getLogger(__name__)


def make_desk(settings: Settings, clock: Clock, page: Page | None = None) -> AttendantDesk:
    """Return the attendant's desk, with its page where there is one."""
    chosen = settings.attendant
    return AttendantDesk(
        DeskComponents(
            desk_config=desk_config(settings),
            pin_hash=chosen.pin_hash,
            memory=DeskMemory(settings.path(settings.booth.state_folder) / "desk.json"),
            clock=clock,
            survey=partial(standing, settings, clock),
            look_at=partial(look_at_shot, still_px=still_px_of(settings)),
            page=page,
        )
    )


@contextlib.contextmanager
def served_page(settings: Settings, clock: Clock) -> Iterator[SupervisedPage | None]:
    """Serve the attendant's page, if the settings ask for it.

    Raises
    ------
    PageRefused
        Its address or certificate cannot be used.
    """
    asked = settings.attendant.page
    if asked is None:
        yield None
        return
    certificate, key = (settings.path(text) if text else None for text in (asked.certificate, asked.key))
    where = Endpoint(asked.address, asked.port, tuple(asked.names), certificate, key)
    monitoring = Monitoring(asked.metrics_hash, installed(settings)) if asked.metrics_hash else None
    with contextlib.closing(SupervisedPage(Serve(where, settings.booth.name, monitoring), clock)) as page:
        _log.warning("the attendant's page is served at %s, port %d", asked.address, page.port)
        yield page


def installed(settings: Settings) -> Installed:
    """Return what a monitoring server reads of the program and its rules."""
    rules = in_force(settings.rules)
    catalogue = Catalogue.beside(settings.own_documents(), rules)
    days = [current_on(catalogue.get(name), settings.confirmations) for name in settings.booth.documents]
    oldest = min(days, default=None)
    due = oldest + timedelta(settings.booth.rules_last_days + 1) if oldest is not None else None
    return Installed({"version": __version__, "rules": str(version_of(rules)), **installed_versions()}, oldest, due)


def standing(settings: Settings, clock: Clock) -> list[Finding]:
    """Return how the booth stands, all but its camera's trial: for the command, the start and the attendant."""
    catalogue = Catalogue.beside(settings.own_documents(), in_force(settings.rules))
    chosen = [catalogue.get(name) for name in settings.booth.documents]
    return booth_findings(settings, chosen, layout_of(settings), printers_standing(settings, clock), clock)
