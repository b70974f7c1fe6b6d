"""The booth itself: its offer and prices, and the sitter's screen and sound."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from babel.numbers import is_currency
from pydantic import AfterValidator, Field

from kiosk.core.document.confirmation import RULES_LAST_DAYS
from kiosk.core.view.align import LensPlace
from kiosk.core.view.intent import LOUDEST
from kiosk.settings.section import Section

BoothProfile = Literal["self-service", "staffed", "event"]
"""A booth where the sitter is alone, a counter with staff nearby, or a desk that hands out badges."""


def _currency(code: str) -> str:
    if not is_currency(code):
        raise ValueError(f"{code!r} is no ISO 4217 code, such as EUR or GBP")
    return code


Amount = Annotated[Decimal, Field(ge=0, max_digits=9)]


class BoothSettings(Section):
    """The booth's offer and its folders.

    Attributes
    ----------
    documents_folder
        The shop's own documents, in addition to the shipped ones.
    rules_signers
        The file of those whose bundles of rules may be installed, in the format of ssh-keygen(1), ALLOWED SIGNERS.
    rules_last_days
        The number of days after which a rule counts as old, from when it was read or confirmed.
    shots
        How many shots are taken before a person has to decide.
    burst
        The number of stills per shot, of which the best is kept. The default is three, but one at an event, with a
        flash, and with a folder as the camera. A camera that needs more than 1.5 s per still takes a single one anyway.
    lying_deg
        The clockwise rotation that makes a baby lying below the camera upright; without it no baby may lie.
    session_folder
        The sitter's files, wiped after each session.
    state_folder
        Data that outlasts sessions: proofs of scale, the reference shot, the counts.
    """

    name: str = Field(default="", max_length=40, pattern=r"^(?:[A-Za-z0-9][A-Za-z0-9 ._-]*)?$")
    profile: BoothProfile = "self-service"
    documents: list[str] = Field(default=[])
    documents_folder: str = ""
    rules_signers: str = ""
    rules_last_days: int = Field(default=RULES_LAST_DAYS, ge=1, le=3650)
    languages: list[str] = Field(default=["en"], min_length=1)
    shots: int = Field(default=4, ge=1, le=20)
    burst: int | None = Field(default=None, ge=1, le=5)
    lying_deg: Literal[0, 90, 180, 270] | None = None
    session_folder: str = "/run/holdstill"
    state_folder: str = "/var/lib/holdstill"


class ScreenSettings(Section):
    """The sitter's screen.

    Attributes
    ----------
    theme
        Whether the screens are dark or light.
    lens
        Where the camera's lens is beside the screen, as the sitter sees it: the screen points there.
    colour
        The shop's own colour for the main button, as `#RRGGBB`; where its label could not be read, another lightness of
        it is shown.
    logo
        A PNG file of at most 1 MB, shown in the upper corner.
    inches, seat_m
        The screen's diagonal and the distance of the sitter's eyes from it; `holdstill ready` checks by them that the
        instructions can be read from the seat.
    """

    size_px: tuple[int, int] = (1080, 1920)
    fullscreen: bool = True
    theme: Literal["dark", "light"] = "dark"
    lens: LensPlace = "above"
    colour: str = Field(default="", pattern=r"^(?:#[0-9A-Fa-f]{6})?$")
    logo: str = ""
    inches: float | None = Field(default=None, ge=7.0, le=100.0)
    seat_m: float = Field(default=1.0, ge=0.4, le=4.0)

    @property
    def accent(self) -> tuple[int, int, int]:
        """The red, green and blue of the shop's own colour, 0 to 255; black without one."""
        red, green, blue = bytes.fromhex(self.colour[1:] or "000000")
        return red, green, blue


class SoundSettings(Section):
    """The voice's folder of sound files, made by `holdstill voice`; without one the booth is silent.

    Attributes
    ----------
    headphone_jack
        The input device that says whether headphones are in: `auto` for the first that has a switch for them, `none`,
        or a path, such as one in /dev/input/by-id.
    call_volume, shutter_volume
        The volume of the bell when a sitter calls the attendant, and of the clicks at a shot, from 0 (silent) to 3.
    """

    voice_folder: str = ""
    headphone_jack: str = Field(default="auto", min_length=1)
    call_volume: int = Field(default=2, ge=0, le=LOUDEST)
    shutter_volume: int = Field(default=1, ge=0, le=LOUDEST)


class PriceSettings(Section):
    """The price of a sheet, shown beside each document: a general one, and exceptions by document id."""

    currency: Annotated[str, AfterValidator(_currency)] = "EUR"
    sheet: Amount | None = None
    documents: dict[str, Amount] = Field(default={})

    def of(self, document_id: str) -> Decimal | None:
        """Return the price of a document's sheet, or None if none is shown."""
        return self.documents.get(document_id, self.sheet)
