"""The booth itself: what is offered and at what price, and the sitter's screen."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from babel.numbers import is_currency
from pydantic import AfterValidator, Field

from kiosk.core.view.sitter import LOUDEST
from kiosk.settings.section import Section

BoothProfile = Literal["self-service", "staffed", "event"]
"""A booth where the sitter is alone, a counter with somebody at hand, or a desk that hands out badges."""


def _currency(code: str) -> str:
    if not is_currency(code):
        raise ValueError(f"{code!r} is no ISO 4217 code, such as EUR or GBP")
    return code


Amount = Annotated[Decimal, Field(ge=0, max_digits=9)]


class BoothSettings(Section):
    """What is offered, and how long a sitter is helped.

    `shots` is how often a photo is taken before a person decides, `burst` how many stills each of them has, of which
    the best is kept: three where nothing is said, but one at an event and with a folder as the camera. A camera that
    needs more than 1.5 s for a still takes one all the same.
    `lying_deg` is the clockwise turn that makes a baby upright that lies below the camera; without it none may lie.
    `documents_folder` holds the shop's own documents beside those that come with the program. `state_folder` keeps
    what must outlast the session: proofs of scale, the reference shot, the counts.
    """

    name: str = Field(default="", max_length=40, pattern=r"^(?:[A-Za-z0-9][A-Za-z0-9 ._-]*)?$")
    profile: BoothProfile = "self-service"
    documents: list[str] = Field(default=[])
    documents_folder: str = ""
    languages: list[str] = Field(default=["en"], min_length=1)
    shots: int = Field(default=4, ge=1, le=20)
    burst: int | None = Field(default=None, ge=1, le=5)
    lying_deg: Literal[0, 90, 180, 270] | None = None
    session_folder: str = "/run/holdstill"
    state_folder: str = "/var/lib/holdstill"


class ScreenSettings(Section):
    """The sitter's screen."""

    size_px: tuple[int, int] = (1080, 1920)
    fullscreen: bool = True


class SoundSettings(Section):
    """The voice: the folder with its sound files, which `holdstill voice` makes; no voice where none is named.

    `call_volume` is how loud the booth rings when a sitter calls the attendant: 0 is silent, 3 the loudest.
    """

    voice_folder: str = ""
    call_volume: int = Field(default=2, ge=0, le=LOUDEST)


class PriceSettings(Section):
    """What a sheet costs, shown beside each document: one price for all, and others by the document's id."""

    currency: Annotated[str, AfterValidator(_currency)] = "EUR"
    sheet: Amount | None = None
    documents: dict[str, Amount] = Field(default={})

    def of(self, document_id: str) -> Decimal | None:
        """Return what a document's sheet costs, or None where no price is shown."""
        return self.documents.get(document_id, self.sheet)
