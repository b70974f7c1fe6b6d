"""A document's rules as a frozen value: each limit with its unit, source, evidence and the day it was read.

Evidence: `primary`, read on the authority's own page or law; `quoted`, read on a page that quotes it; `memory`, not
verified; `computed`, arithmetic from other limits; `practice`, common practice of the trade; `measured`, from this
project's own bench. Lengths keep the unit the authority publishes; the `_mm` properties convert.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from kiosk.core.geometry import Range, Size
from kiosk.core.measurement import HeadTop
from kiosk.core.units import MM_PER_INCH

Evidence = Literal["primary", "quoted", "memory", "computed", "practice", "measured"]
LengthUnit = Literal["mm", "in", "fraction"]
Channel = Literal["self_service", "with_conditions", "not_accepted", "unconfirmed"]


class Model(BaseModel):
    """Frozen, and refuses keys it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Provenance(Model):
    """Where a rule was read."""

    source: tuple[str, ...] = Field(min_length=1)
    evidence: Evidence
    read_on: date
    note: str = ""


class Statement(Provenance):
    """A rule in words."""

    text: str = Field(min_length=1)


class Limit(Provenance):
    """A rule in numbers."""

    min: float | None = None
    max: float | None = None
    unit: str

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if self.min is None and self.max is None:
            raise ValueError("give min, max or both")
        if self.range.is_empty:
            raise ValueError(f"the range is empty: min {self.min} > max {self.max}")
        return self

    @property
    def range(self) -> Range:
        """The limit in its own unit."""
        return Range(self.min, self.max)


class Length(Limit):
    """A limit on a length of the print."""

    unit: LengthUnit

    def range_mm(self, height_mm: float) -> Range:
        """Return the limit in millimetres; fractions are of the photo's height."""
        factor = {"mm": 1.0, "in": MM_PER_INCH, "fraction": height_mm}[self.unit]
        return self.range.scaled(factor)


class PhotoSize(Provenance):
    """The trimmed size of the print."""

    width: float = Field(gt=0)
    height: float = Field(gt=0)
    unit: Literal["mm", "in"]


class HeadTopRule(Provenance):
    """Which top of the head the authority measures to."""

    value: HeadTop


class ChannelRule(Provenance):
    """Whether the authority takes a print from a self-service booth."""

    value: Channel
    text: str = Field(min_length=1)


class ColourRegion(Model):
    """A region of CIE L*a*b* (D65, sRGB white) that a background must lie in."""

    name: str
    lightness: tuple[float, float]
    a: tuple[float, float]
    b: tuple[float, float]


class Background(Statement):
    """The background's rule: words, and the colour regions they were turned into."""

    colours: tuple[ColourRegion, ...] = Field(min_length=1)


class Document(Model):
    """All rules of one document."""

    id: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")
    title: str
    authority: str
    country: str | None = Field(default=None, pattern=r"^[A-Z]{2}$")
    channel: ChannelRule
    size: PhotoSize
    head_top: HeadTopRule
    head_height: Length
    eye_line: Length | None = None
    margin_above: Length | None = None
    background: Background
    resolution: Limit
    border: Statement | None = None
    border_allowed: bool = False
    prints: int = Field(default=1, ge=1)
    statements: Mapping[str, Statement] = Field(default_factory=dict)
    capture: Mapping[str, Limit] = Field(default_factory=dict)

    @property
    def size_mm(self) -> Size:
        """The trimmed size of the print in millimetres."""
        factor = MM_PER_INCH if self.size.unit == "in" else 1.0
        return Size(self.size.width * factor, self.size.height * factor)

    @property
    def head_height_mm(self) -> Range:
        """The head height from chin to `head_top`."""
        return self.head_height.range_mm(self.size_mm.height)

    @property
    def eye_line_mm(self) -> Range | None:
        """The eye line above the lower edge, where the authority gives one."""
        return None if self.eye_line is None else self.eye_line.range_mm(self.size_mm.height)

    @property
    def margin_above_mm(self) -> Range | None:
        """The room between the upper edge and the top of the head, where the authority gives it."""
        return None if self.margin_above is None else self.margin_above.range_mm(self.size_mm.height)

    @property
    def needed_dpi(self) -> float:
        """Pixels per inch that the crop must have at print size."""
        return self.resolution.min or 0.0
