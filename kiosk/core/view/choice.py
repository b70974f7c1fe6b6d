"""What a sitter can choose: documents and papers with their prices, and guests of an event."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from kiosk.core.document.requirements import Channel, DocumentKind


@dataclass(frozen=True, slots=True)
class Price:
    """The price of a sheet; `currency` is its ISO 4217 code."""

    amount: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class DocumentOffer:
    """A document that the sitter can choose.

    Attributes
    ----------
    title
        The title in the document's file, shown where `kinds` is empty.
    glasses
        Whether glasses may stay on; None if the rules do not say.
    asks_of_face
        What the rules for the age ask of a face that looks ahead: `all` (eyes open, mouth closed, a plain expression),
        the open `eyes` alone, or `nothing`.
    ages
        The ages in completed years at which the rules change.
    """

    id: str
    title: str
    country: str | None
    size_text: str
    channel: Channel
    kinds: tuple[DocumentKind, ...] = ()
    is_upload: bool = False
    glasses: bool | None = None
    asks_of_face: Literal["all", "eyes", "nothing"] = "all"
    ages: tuple[int, ...] = ()
    price: Price | None = None


@dataclass(frozen=True, slots=True)
class PaperOffer:
    """A paper that the sitter can choose: its short name, the photos per sheet, and the price if prices are shown."""

    name: str
    photos: int
    price: Price | None = None


@dataclass(frozen=True, slots=True)
class Guest:
    """A person on an event's roster, as the search shows them."""

    id: str
    name: str
    detail: str = ""
    has_badge: bool = False


@dataclass(frozen=True, slots=True)
class Search:
    """The result of a search for the beginning of a name.

    Attributes
    ----------
    query
        The letters typed so far.
    guests
        The first of the guests that match.
    letters
        The letters that can follow; a space if another name can start.
    unknown_code
        Whether a code was held up to the camera that is nobody's id.
    """

    query: str = ""
    guests: tuple[Guest, ...] = ()
    letters: tuple[str, ...] = ()
    unknown_code: bool = False
