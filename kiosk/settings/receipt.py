"""The receipt for a sheet that costs something; by default there is none."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from kiosk.settings.section import Section


class ReceiptSettings(Section):
    """A receipt beside the photos of the sheet, or a slip from a receipt printer. It is no fiscal receipt.

    Attributes
    ----------
    by
        `sheet` writes it in the margin of the sheet where there is room, `queue` prints a slip.
    queue
        The receipt printer's queue of the machine's own print server.
    lines
        The shop's own lines: its name first, then its address, its tax number, and a sentence on tax.
    width_mm, margin_mm
        The width of the page in the driver of the receipt printer, and what stays free at its edges.
    options
        Of the driver, as `lpoptions -p QUEUE -l` lists them, such as the one that cuts the paper.
    """

    by: Literal["sheet", "queue"]
    queue: str = ""
    lines: list[Annotated[str, Field(min_length=1, max_length=60)]] = Field(min_length=1, max_length=6)
    width_mm: float = Field(default=80.0, ge=48.0, le=120.0)
    margin_mm: float = Field(default=4.0, ge=0.0, le=10.0)
    options: dict[str, str] = Field(default={})

    @model_validator(mode="after")
    def _sound(self) -> Self:
        if (self.by == "queue") != bool(self.queue):
            raise ValueError('a queue goes with by = "queue", and with nothing else')
        if any(not line.isprintable() or not line.strip() for line in self.lines):
            raise ValueError("each of the lines is one line of text")
        return self
