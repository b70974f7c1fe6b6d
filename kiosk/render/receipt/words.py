"""The words of a receipt, in the language in which its sheets were bought; the shop's own lines stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from kiosk.core.session.receipt import Purchase
from kiosk.i18n import Words


def purchase_lines(purchase: Purchase, day: date, number: str) -> tuple[str, ...]:
    """Return what a receipt says below the shop's lines; `number` is the sheet's short number."""
    words, document = Words.load(purchase.language), purchase.document
    names = [words.country(document.country)] if document.country else []
    names += [words.tr(f"document.{kind}") for kind in document.kinds]
    return (
        words.own(words.date(day.isoformat())),
        words.joined(*names) if document.kinds else words.own(document.title),
        words.tr("copies.sheets", count=purchase.sheets),
        words.tr("receipt.paid" if purchase.is_paid else "receipt.price", price=words.money(purchase.price)),
        words.tr("receipt.number", number=number),
    )


def sheet_receipts(purchase: Purchase, shop: Sequence[str], day: date, number: str) -> tuple[tuple[str, ...], ...]:
    """Return the forms of a receipt on a sheet, each as its lines, the preferred one first.

    All of the shop's lines are better than its name alone, and a block of lines is better than a single one; the last
    form needs the least room.
    """
    words, lines = Words.load(purchase.language), purchase_lines(purchase, day, number)
    whole, brief = ((*map(words.own, some), *lines) for some in (shop, shop[:1]))
    return whole, (words.joined(*whole),), brief, (words.joined(*brief),)
