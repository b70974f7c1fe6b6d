"""The attendant's desk put together: its checks of the booth, its test shots and its page."""

from __future__ import annotations

import contextlib
import logging
from collections.abc import Iterator
from functools import partial

from kiosk.booth.attendant_desk import AttendantDesk, DeskComponents
from kiosk.booth.config import desk_config
from kiosk.catalogue.documents import Catalogue
from kiosk.catalogue.installed import in_force
from kiosk.core.view.finding import Finding
from kiosk.devices.backends import printers_standing, still_px_of
from kiosk.page.bridge import Bridge
from kiosk.pipeline.offering import layout_of
from kiosk.ready.booth import booth_findings
from kiosk.ready.shot import look_at_shot
from kiosk.settings import Settings
from kiosk.store.desk_memory import DeskMemory
from kiosk.system.clock import Clock

_log = logging.getLogger(__name__)


def make_desk(settings: Settings, clock: Clock, bridge: Bridge | None = None) -> AttendantDesk:
    """Return the attendant's desk, with a bridge to its page where there is one."""
    chosen = settings.attendant
    return AttendantDesk(
        DeskComponents(
            desk_config=desk_config(settings),
            pin_hash=chosen.pin_hash,
            memory=DeskMemory(settings.path(settings.booth.state_folder) / "desk.json"),
            clock=clock,
            survey=partial(standing, settings, clock),
            look_at=partial(look_at_shot, still_px=still_px_of(settings)),
            bridge=bridge,
        )
    )


@contextlib.contextmanager
def serve_page(settings: Settings, clock: Clock) -> Iterator[Bridge]:
    """Serve the attendant's page that the settings ask for.

    Raises
    ------
    PageRefused
        Its address or certificate cannot be used.
    """
    from kiosk.page.server import Endpoint, serve

    page = settings.attendant.page
    assert page is not None
    certificate, key = (settings.path(text) if text else None for text in (page.certificate, page.key))
    bridge = Bridge()
    where = Endpoint(page.address, page.port, tuple(page.names), certificate, key)
    with serve(bridge, clock, where, settings.booth.name) as port:
        _log.warning("the attendant's page is served at %s, port %d", page.address, port)
        yield bridge


def standing(settings: Settings, clock: Clock) -> list[Finding]:
    """Return how the booth stands, all but its camera's trial: for the command, the start and the attendant."""
    catalogue = Catalogue.beside(settings.own_documents(), in_force(settings.rules))
    chosen = [catalogue.get(name) for name in settings.booth.documents]
    return booth_findings(settings, chosen, layout_of(settings), printers_standing(settings, clock), clock.today())
