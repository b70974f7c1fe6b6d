"""The booth itself: what is offered and at what price, and the sitter's screen."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from babel.numbers import is_currency
from pydantic import AfterValidator, Field

from kiosk.settings.section import Section

Profile = Literal["self-service", "staffed", "event"]
"""A booth where the sitter is alone, a counter with somebody at hand, or a desk that hands out badges."""


def _currency(code: str) -> str:
    if not is_currency(code):
        raise ValueError(f"{code!r} is no ISO 4217 code, such as EUR or GBP")
    return code


Amount = Annotated[Decimal, Field(ge=0, max_digits=9)]


class Booth(Section):
    """What is offered, and how long a sitter is helped.

    `documents_folder` holds the shop's own documents beside those that come with the program. `state_folder` keeps
    what must outlast the session: proofs of scale, the reference shot, the counts.
    """

    name: str = Field(default="", max_length=40, pattern=r"^(?:[A-Za-z0-9][A-Za-z0-9 ._-]*)?$")
    profile: Profile = "self-service"
    documents: list[str] = Field(default=[])
    documents_folder: str = ""
    languages: list[str] = Field(default=["en"], min_length=1)
    shots: int = Field(default=4, ge=1, le=20)
    session_folder: str = "/run/holdstill"
    state_folder: str = "/var/lib/holdstill"


class Screen(Section):
    """The sitter's screen."""

    size_px: tuple[int, int] = (1080, 1920)
    fullscreen: bool = True


class Sound(Section):
    """The voice: the folder with its sound files, which `holdstill voice` makes; no voice where none is named."""

    voice_folder: str = ""


class Prices(Section):
    """What a sheet costs, shown beside each document: one price for all, and others by the document's id."""

    currency: Annotated[str, AfterValidator(_currency)] = "EUR"
    sheet: Amount | None = None
    documents: dict[str, Amount] = Field(default={})

    def of(self, document_id: str) -> Decimal | None:
        """Return what a document's sheet costs, or None where no price is shown."""
        return self.documents.get(document_id, self.sheet)
