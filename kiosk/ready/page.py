"""Check whether the attendant's page, and the metrics beside it, can be reached at their address."""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.core.view.finding import Finding
from kiosk.errors import os_reason
from kiosk.page.listening import listening_socket
from kiosk.page.messages import Endpoint
from kiosk.settings import Settings


def page_findings(settings: Settings) -> Iterator[Finding]:
    """Yield the finding on the page's address, where the settings name one; a booth without its network is open.

    The port is left out: the running booth has it.
    """
    chosen = settings.attendant.page
    if chosen is None:
        return
    certificate, key = (settings.path(text) if text else None for text in (chosen.certificate, chosen.key))
    try:
        listening_socket(Endpoint(chosen.address, 0, (), certificate, key)).close()
    except OSError as error:
        sentence = f"Nobody reaches the attendant's page at {chosen.address}: {os_reason(error)}."
        step = "Check the booth's network, and attendant.page in the settings file: its address and its certificate."
        yield Finding("page", "refused", "", False, sentence, step, "machine")
        return
    sentence = f"The attendant's page has its address, {chosen.address}."
    yield Finding("page", "address", "", True, sentence, subject="machine")
