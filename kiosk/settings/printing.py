"""The printer and its papers."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from kiosk.core.view.sheet import TrayPlace
from kiosk.settings.section import Section


class FolderPrintSettings(Section):
    """A folder that receives the exact sheets as PDF instead of a printer."""

    backend: Literal["folder"]
    folder: str


class ProfileSettings(Section):
    """The ICC profile of a queue with its paper, and how colours are fitted into what it can print.

    `black_point` puts the black of sRGB on the printer's black, with all tones between them; the intent `absolute` has
    no use for it.
    """

    file: str = Field(min_length=1)
    intent: Literal["perceptual", "relative", "saturation", "absolute"] = "relative"
    black_point: bool = True

    @model_validator(mode="after")
    def _has_a_black_point_to_move(self) -> Self:
        if self.intent == "absolute" and self.black_point:
            raise ValueError("the intent absolute moves no black point: set black_point = false, or take relative")
        return self


class CupsQueueSettings(Section):
    """A queue of the machine's own print server.

    `borderless` selects the paper's variant without margins if the printer offers both. `options` are the driver's
    own, as `lpoptions -p QUEUE -l` lists them; they must not change medium, quality or scaling. Without a `profile` the
    driver converts the colours.
    """

    queue: str = Field(min_length=1)
    borderless: bool = False
    options: dict[str, str] = Field(default={})
    profile: ProfileSettings | None = None


class CupsSettings(CupsQueueSettings):
    """Printing through CUPS; `second` is a queue with the same paper for sheets that the first cannot print.

    `limit_s` is the longest time that a sheet may take. With `needs_colour_proof` no queue prints documents
    before its colour is proven (`holdstill colour`).
    """

    backend: Literal["cups"]
    second: CupsQueueSettings | None = None
    port: int = Field(default=631, ge=1, le=65535)
    limit_s: float = Field(default=300.0, ge=30.0, le=3600.0)
    needs_colour_proof: bool = False


AnyPrinter = FolderPrintSettings | CupsSettings


class FurtherPaperSettings(Section):
    """Another paper that sitters can choose; with CUPS it needs a queue of its own.

    `borderless`, `options` and `profile` are those of that queue, as `CupsQueueSettings` has them. `extra` is the
    surcharge for a sheet on it, if prices are shown.
    """

    medium: str
    margins_mm: tuple[float, float, float, float] = (3.0, 3.0, 3.0, 3.0)
    queue: str = ""
    borderless: bool = False
    options: dict[str, str] = Field(default={})
    profile: ProfileSettings | None = None
    photos: int | None = Field(default=None, ge=1, le=100)
    extra: Annotated[Decimal, Field(ge=0, max_digits=9)] = Decimal(0)


class PaperSettings(Section):
    """The paper in the printer, the layout of photos on it, and the sitter's choices.

    `sheets` are the numbers of sheets on offer, the usual one first; `more` are other papers. Sitters are asked only if
    there is a choice. `takes_s` is how long the printer takes for a sheet, and `tray` is where it comes out, as the
    sitter sees it; the screens say what is set.
    """

    medium: str = "4x6in"
    margins_mm: tuple[float, float, float, float] = (3.0, 3.0, 3.0, 3.0)
    gutter_mm: float = Field(default=2.0, ge=0.0, le=50.0)
    photos: int | None = Field(default=None, ge=1, le=100)
    sheets: list[Annotated[int, Field(ge=1, le=20)]] = Field(default=[1], min_length=1, max_length=4)
    more: list[FurtherPaperSettings] = Field(default=[], max_length=2)
    takes_s: int | None = Field(default=None, ge=1, le=600)
    tray: TrayPlace | None = None
