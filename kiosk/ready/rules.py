"""Check the documents on offer: the age of their rules, which are hidden, and whether their photos fit the paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from kiosk.core.document.confirmation import current_on, is_stale, is_trusted, settled
from kiosk.core.document.document import Document
from kiosk.core.view.finding import Finding
from kiosk.errors import KioskError
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.settings import Settings
from kiosk.settings.site import BoothProfile


def rule_findings(
    settings: Settings, chosen: Sequence[Document], layout: SheetLayout, today: date
) -> Iterator[Finding]:
    """Yield the faults of the documents in the settings, and one finding on those that are offered.

    Parameters
    ----------
    settings
        The booth's settings.
    chosen
        The documents that the settings name, as their files define them.
    layout
        The layout on the paper in the printer.
    today
        The booth's calendar day.
    """
    shown = [document for document in chosen if is_trusted(document, settings.confirmations)]
    for document in chosen:
        if document not in shown:
            yield Finding(
                "hidden",
                document.id,
                "",
                False,
                f"{document.id} is hidden from sitters: its dimensions are quoted from memory.",
                f"Read the authority's own text, then run `holdstill documents confirm {document.id}`.",
                "documents",
            )
    for document in shown:
        yield from _age(document, settings, today)
        yield from _channel(document, settings.booth.profile)
        yield from _fit(settled(document, settings.confirmations), layout)
    yield Finding(
        "offered",
        len(shown),
        "count",
        bool(shown),
        f"{len(shown)} of {len(chosen)} documents are offered"
        + (f"; the oldest of their rules were read on {min(d.read_on for d in shown)}." if shown else "."),
        "Confirm a document as described above.",
        "documents",
        stops=not shown,
    )


def _age(document: Document, settings: Settings, today: date) -> Iterator[Finding]:
    lasting, read_on = settings.booth.rules_last_days, current_on(document, settings.confirmations)
    if is_stale(document, settings.confirmations, today, lasting):
        yield Finding(
            "rules_age",
            (today - read_on).days,
            "d",
            False,
            f"The rules of {document.id} were read on {read_on}, more than {lasting} days ago.",
            f"`holdstill documents review {document.id}` makes a worksheet for reading the authority's page again.",
            "documents",
        )


def _channel(document: Document, profile: BoothProfile) -> Iterator[Finding]:
    """Tell of a document whose photo is not taken from a booth, or on conditions that nobody there explains."""
    alone = profile == "self-service" and document.channel.value == "with_conditions"
    if document.channel.value == "not_accepted" or alone or document.is_beyond_booth:
        advice = "Take it off the list, or offer it where somebody can explain."
        sentence = f"{document.id} may be of no use to a sitter. {document.channel.text}"
        yield Finding("channel", document.id, "", False, sentence, advice, "documents")


def _fit(document: Document, layout: SheetLayout) -> Iterator[Finding]:
    try:
        for at_age in document.by_age:
            layout.impose(at_age)
    except KioskError as refusal:
        yield Finding("fit", document.id, "", False, str(refusal), refusal.advice, "paper", stops=True)
