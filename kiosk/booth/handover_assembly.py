"""The hand-over of files put together from the settings; an event's badges have none."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from functools import partial

from kiosk.booth.file_tracker import FileTracker
from kiosk.core.session.facts import Ledger
from kiosk.core.session.handing import HandoverTerms
from kiosk.core.view.handover import FileWay
from kiosk.handover.process import HandedFile, Service
from kiosk.page.messages import Endpoint
from kiosk.settings import Settings


def handover_terms(settings: Settings) -> HandoverTerms | None:
    """Return how files are handed over, for the session; None where they are not."""
    chosen = settings.handover if settings.event is None else None
    if chosen is None:
        return None
    ways: dict[FileWay, str] = {"phone": chosen.address, "stick": chosen.sticks}
    return HandoverTerms(tuple(way for way, where in ways.items() if where), chosen.minutes * 60.0, chosen.wifi)


def handover_endpoint(settings: Settings) -> Endpoint | None:
    """Return where phones find their file; None where none does."""
    chosen = settings.handover
    if chosen is None or not chosen.address:
        return None
    certificate, key = (settings.path(text) if text else None for text in (chosen.certificate, chosen.key))
    return Endpoint(chosen.address, chosen.port, (chosen.name,) if chosen.name else (), certificate, key)


@contextlib.contextmanager
def files_handed(settings: Settings, ledger: Ledger) -> Iterator[FileTracker | None]:
    """Hand files over, if the settings ask for it."""
    terms, chosen = handover_terms(settings), settings.handover
    if terms is None or chosen is None:
        yield None
        return
    service = Service(handover_endpoint(settings), chosen.sticks, terms.keep_s)
    with contextlib.closing(FileTracker(partial(HandedFile, service), ledger)) as tracker:
        yield tracker
