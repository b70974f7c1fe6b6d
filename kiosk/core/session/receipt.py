"""What a receipt says of a purchase; nothing in it is the sitter's."""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.document.document import Document
from kiosk.core.view.choice import Price

NUMBER_LETTERS = 6
"""How many letters of a sheet's key are its number on paper: 16 million, and a shop compares those of a day."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """Sheets that cost something.

    Attributes
    ----------
    price
        Of all sheets together.
    is_paid
        Whether the booth has taken the money; otherwise the price was only shown.
    language
        The BCP 47 tag of the language in which they were bought.
    """

    document: Document
    sheets: int
    price: Price
    is_paid: bool
    language: str


def sheet_number(key: str) -> str:
    """Return the short number of a sheet by its key."""
    return key[:NUMBER_LETTERS].upper()
