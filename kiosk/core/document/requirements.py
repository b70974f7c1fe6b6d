"""The kinds of rules a document is made of, beside limits and statements."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from kiosk.core.base.geometry import Size
from kiosk.core.base.measurement import HeadTop
from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.document.limits import Length, Provenance, Statement

Channel = Literal["self_service", "with_conditions", "not_accepted", "unconfirmed"]
Finish = Literal["glossy", "semi_matte", "matte"]
DocumentKind = Literal[
    "passport",
    "visa",
    "schengen_visa",
    "identity_card",
    "residence_permit",
    "driving_licence",
    "student_pass",
    "staff_badge",
    "event_badge",
]
BackLine = Literal["studio", "date", "name"]
StatementName = Literal[
    "alteration",
    "capture_advice",
    "centring",
    "colour",
    "compression",
    "covering",
    "expression",
    "face_width",
    "framing",
    "geometry",
    "lens",
    "lighting",
    "print_quality",
    "scan",
    "sizes",
    "standard",
    "tolerance",
    "visibility",
]


BY_EYE: tuple[StatementName, ...] = ("face_width", "framing", "geometry", "lens", "visibility")
"""Statements that may ask something of the picture that no measurement looks at; every language has a name for them."""


class PhotoSize(Provenance):
    """The trimmed size of a print, or of the card it is set in."""

    width: float = Field(gt=0)
    height: float = Field(gt=0)
    unit: Literal["mm", "in"]

    @property
    def size_mm(self) -> Size:
        """The size in millimetres."""
        factor = MM_PER_INCH if self.unit == "in" else 1.0
        return Size(self.width * factor, self.height * factor)


class HeadTopRule(Provenance):
    """Which top of the head the authority measures to."""

    value: HeadTop


class ChannelRule(Provenance):
    """Whether the authority takes a photo from a self-service booth, and the notice to the sitter."""

    value: Channel
    text: str = Field(min_length=1)


class FurtherRule(Statement):
    """A rule of its own in words."""

    by_eye: bool = False
    """It asks something of the picture that no measurement looks at: every verdict tells it, as advice."""


class SpectaclesRule(Statement):
    """Whether spectacles may be worn at all; the words say under which conditions."""

    allowed: bool


class BorderRule(Statement):
    """Whether the print may have a border or a keyline."""

    allowed: bool


class BackRule(Statement):
    """What must stand on the back of a print; where there is none, nothing may be written there."""

    lines: tuple[BackLine, ...] = Field(min_length=1)
    """Printed: the studio's name and address; ruled, to be filled in by hand: the date, the sitter's name."""


class PaperRule(Statement):
    """Which surfaces of photo paper are taken."""

    finishes: tuple[Finish, ...] = Field(min_length=1)


class PrintCount(Provenance):
    """How many identical prints are handed in."""

    count: int = Field(ge=1)


class Relaxation(Statement):
    """What is not asked of younger sitters, from one age in completed years to below another."""

    from_age_years: int = Field(default=0, ge=0)
    below_age_years: int = Field(gt=0)
    lifts: tuple[str, ...] = ()
    """Names of measurements that are not judged."""
    head_height: Length | None = None
    """In place of the document's own."""
    eye_line: Length | None = None
    """In place of the document's own."""

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if self.from_age_years >= self.below_age_years:
            raise ValueError(f"the range is empty: ages {self.from_age_years} to below {self.below_age_years}")
        return self

    def covers(self, age_years: int) -> bool:
        """Tell whether it speaks of that age in completed years."""
        return self.from_age_years <= age_years < self.below_age_years
