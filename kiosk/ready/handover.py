"""Check whether the photo can be handed over as a file."""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.core.view.finding import Finding
from kiosk.errors import os_reason
from kiosk.page.listening import listening_socket
from kiosk.page.messages import Endpoint
from kiosk.settings import Settings

SUBJECT = "handover"


def handover_findings(settings: Settings) -> Iterator[Finding]:
    """Yield the finding on the address for phones, where the settings name one.

    The port is left out: at the moment it may be in use for a sitter's file.
    """
    chosen = settings.handover
    if chosen is None or not chosen.address or settings.event is not None:
        return
    certificate, key = (settings.path(text) if text else None for text in (chosen.certificate, chosen.key))
    try:
        listening_socket(Endpoint(chosen.address, 0, (), certificate, key)).close()
    except OSError as error:
        sentence = f"No phone can take a file at {chosen.address}: {os_reason(error)}."
        step = "Correct handover in the settings file: an address of this machine, and its certificate."
        yield Finding(SUBJECT, "refused", "", False, sentence, step, "site")
        return
    way = "over HTTPS" if certificate else "over HTTP, without a certificate"
    yield Finding(SUBJECT, way, "", True, f"Phones can take a file at {chosen.address}, {way}.", "", "site")
