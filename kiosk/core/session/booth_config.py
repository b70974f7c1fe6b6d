"""What a booth is set to, as far as a session depends on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from kiosk.core.document.document import Document
from kiosk.core.judging.doubt import Decider
from kiosk.core.session.account import PaymentTerms
from kiosk.core.session.commands import Turn
from kiosk.core.session.handing import HandoverTerms
from kiosk.core.view.align import LensPlace
from kiosk.core.view.choice import Price
from kiosk.core.view.sheet import TrayPlace
from kiosk.core.view.sitter import State

UNPRINTED_S = 300.0
"""How long an accepted photo is kept that the printer has failed to print: time to change a ribbon (practice)."""

IDLE_S: Mapping[State, float] = {
    "find": 60.0,
    "choose": 90.0,
    "prepare": 120.0,
    "privacy": 120.0,
    "align": 180.0,
    "shooting": 60.0,
    "measuring": 60.0,
    "review": 120.0,
    "copies": 120.0,
    "release": 600.0,
    "paying": 120.0,
    "printing": 600.0,
    "unprinted": UNPRINTED_S,
    "collect": 45.0,
    "take_file": 45.0,
    "money_back": 120.0,
    "thanks": 8.0,
}
"""In seconds; a slow printer's `printing` is longer."""


@dataclass(frozen=True, slots=True)
class Reception:
    """What a booth is set to that hands out the badges of an event.

    Attributes
    ----------
    document
        The rules of the badge's photo; None where the badge shows none.
    shared_until
        The day until which the organiser keeps the photos of those who allow it; None where none is kept.
    """

    document: Document | None
    shared_until: date | None = None


@dataclass(frozen=True, slots=True)
class BoothConfig:
    """What the booth is set to.

    Attributes
    ----------
    documents
        Those offered, in the order of the list.
    shots
        How many shots are tried before a person decides; fewer where the same thing fails again.
    burst
        How many stills a shot has; the best of them is kept.
    by_flash
        Whether a flash lights the stills, so that the live picture says nothing about their light.
    still_px
        Width and height of the camera's stills.
    prices
        What a sheet costs, by the document's id, where a price is shown.
    sheets
        How many sheets can be asked for; the first is taken where nothing is asked.
    papers
        The short names of the papers that a document's photos can be printed on, by its id, the usual one first; a
        document that is not named has the usual one only.
    extras
        What a sheet costs more on a paper, by its short name.
    payment
        How the sheets are paid for before they are printed; None where the booth takes no money.
    takes_s, tray
        How long the printer takes for a sheet, and where it comes out; None where nobody has said so.
    handover
        How a photo is handed over as a file when its sheet has come out; None where it is not.
    lying_deg
        By how much the picture of a camera that looks down on a baby is turned clockwise to be upright; None where no
        baby can lie below it.
    release
        Who lets a sheet be printed: `free` prints at once, `attendant` waits for one.
    doubt
        Who decides whether a photo is printed that stays doubtful.
    attended
        Whether there is an attendant who can be called.
    has_voice
        Whether the booth can speak.
    is_light
        Whether the screens are light.
    accent
        The shop's own colour as the screens show it (red, green and blue, 0 to 255); None for the booth's.
    lens
        Where the lens is beside the screen, as the sitter sees it.
    reprint_minutes
        How long a sheet is kept so that the attendant can print it again; 0 where none is.
    called_s
        How long a sitter who has called may wait for the attendant.
    reception
        Set where badges of an event are handed out instead of photos for documents.
    idle_s
        Seconds without a sitter's action, or a device's answer, after which each state goes back to welcome.
    """

    documents: tuple[Document, ...]
    languages: tuple[str, ...] = ("en",)
    shots: int = 4
    burst: int = 1
    by_flash: bool = False
    still_px: tuple[int, int] = (1600, 2000)
    prices: Mapping[str, Price] = field(default_factory=dict)
    sheets: tuple[int, ...] = (1,)
    papers: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    extras: Mapping[str, Decimal] = field(default_factory=dict)
    payment: PaymentTerms | None = None
    takes_s: int | None = None
    tray: TrayPlace | None = None
    handover: HandoverTerms | None = None
    lying_deg: Turn | None = None
    release: Literal["free", "attendant"] = "free"
    doubt: Decider = "attendant"
    attended: bool = False
    has_voice: bool = False
    is_light: bool = False
    accent: tuple[int, int, int] | None = None
    lens: LensPlace = "above"
    reprint_minutes: int = 0
    called_s: float = 600.0
    reception: Reception | None = None
    idle_s: Mapping[State, float] = field(default_factory=lambda: IDLE_S)
