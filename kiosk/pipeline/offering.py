"""The documents, prices and papers that the shop offers, as its settings define them."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from datetime import date

from kiosk.catalogue.documents import Catalogue
from kiosk.core.document.confirmation import is_stale, is_trusted, settled
from kiosk.core.document.document import Document
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.core.view.choice import Price
from kiosk.errors import SettingsRefused, SheetDoesNotFit
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.settings import Settings
from kiosk.settings.printing import CupsSettings

_log = logging.getLogger(__name__)


def offered(settings: Settings, catalogue: Catalogue, today: date) -> tuple[Document, ...]:
    """Return the documents on offer; log a warning for each that is hidden or whose rules are old.

    Raises
    ------
    SettingsRefused
        Every document still needs a person's confirmation.
    """
    documents = []
    for document in map(catalogue.get, settings.booth.documents):
        if not is_trusted(document, settings.confirmations):
            _log.warning("%s is hidden: confirm it with `holdstill documents confirm`", document.id)
            continue
        if is_stale(document, settings.confirmations, today, settings.booth.rules_last_days):
            _log.warning("the rules of %s were read on %s: read them again", document.id, document.read_on)
        documents.append(settled(document, settings.confirmations))
    if not documents:
        detail = "every document still needs `holdstill documents confirm`"
        raise SettingsRefused(path=settings.file, where="booth.documents", detail=detail)
    return tuple(documents)


def prices_of(settings: Settings, catalogue: Catalogue) -> dict[str, Price]:
    """Return the price of each document that has one.

    Raises
    ------
    SettingsRefused
        A price is given for a document that does not exist.
    """
    prices = settings.prices
    for name in prices.documents:
        if name not in catalogue.documents:
            detail = f"no document is called {name!r}"
            raise SettingsRefused(path=settings.file, where=f"prices.documents.{name}", detail=detail)
    amounts = {name: prices.of(name) for name in settings.booth.documents}
    return {name: Price(amount, prices.currency) for name, amount in amounts.items() if amount is not None}


def layout_of(settings: Settings) -> SheetLayout:
    """Return the layout for the paper in the printer."""
    paper = settings.paper
    return SheetLayout(medium(paper.medium), Margins(*paper.margins_mm), paper.gutter_mm, paper.photos)


def layouts_of(settings: Settings) -> dict[str, SheetLayout]:
    """Return the layouts for the other papers that sitters can choose, by short name.

    Raises
    ------
    SettingsRefused
        A paper is named twice, or has no queue of its own on a print server.
    """
    paper, layouts = settings.paper, dict[str, SheetLayout]()
    usual = medium(paper.medium).short
    queues = [settings.printer.queue] if isinstance(settings.printer, CupsSettings) else []
    for index, more in enumerate(paper.more):
        where = f"paper.more.{index + 1}"
        other = medium(more.medium)
        if other.short == usual or other.short in layouts:
            raise SettingsRefused(path=settings.file, where=f"{where}.medium", detail=f"{other.short} is named twice")
        if queues and (not more.queue or more.queue in queues):
            detail = "each paper needs a queue of its own"
            raise SettingsRefused(path=settings.file, where=f"{where}.queue", detail=detail)
        queues += [more.queue] if queues else []
        layouts[other.short] = SheetLayout(other, Margins(*more.margins_mm), paper.gutter_mm, more.photos)
    return layouts


def papers_of(settings: Settings, documents: Sequence[Document]) -> dict[str, tuple[str, ...]]:
    """Return the papers that each document's photos fit on, the usual one first, for documents that offer a choice."""
    layouts, usual = layouts_of(settings), medium(settings.paper.medium).short
    fitting = {each.id: (usual, *(name for name in layouts if _fits(layouts[name], each))) for each in documents}
    return {name: papers for name, papers in fitting.items() if len(papers) > 1}


def _fits(layout: SheetLayout, document: Document) -> bool:
    try:
        for at_age in document.by_age:
            layout.impose(at_age)
    except SheetDoesNotFit:
        return False
    return True
