"""The kinds of rules that make up a document, besides plain limits and statements."""

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
"""Statements that may be marked `by_eye`: every language has a name for them."""


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
    """Whether the authority measures head height to the crown or to the top of the hair."""

    value: HeadTop


class ChannelRule(Provenance):
    """Whether the authority accepts photos from a self-service booth, and the notice to the sitter."""

    value: Channel
    text: str = Field(min_length=1)


class FurtherRule(Statement):
    """A further rule in words."""

    by_eye: bool = False
    """Whether no measurement covers this rule, so that every verdict lists it as advice."""


class SpectaclesRule(Statement):
    """Whether spectacles may be worn at all; `text` gives the conditions."""

    allowed: bool


class BorderRule(Statement):
    """Whether the print may have a border or a keyline."""

    allowed: bool


class BackRule(Statement):
    """What the back of a print must carry; without this rule nothing may be written there."""

    lines: tuple[BackLine, ...] = Field(min_length=1)
    """`studio` prints the studio's name and address; `date` and `name` rule a line to be filled in by hand."""


class PaperRule(Statement):
    """The paper finishes that the authority accepts."""

    finishes: tuple[Finish, ...] = Field(min_length=1)


class PrintCount(Provenance):
    """How many identical prints the applicant hands in."""

    count: int = Field(ge=1)


class Relaxation(Statement):
    """The rules that do not apply to sitters from one age in completed years to below another."""

    from_age_years: int = Field(default=0, ge=0)
    below_age_years: int = Field(gt=0)
    lifts: tuple[str, ...] = ()
    """Names of measurements that are not judged."""
    head_height: Length | None = None
    """Replaces the document's own limit."""
    eye_line: Length | None = None
    """Replaces the document's own limit."""

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if self.from_age_years >= self.below_age_years:
            raise ValueError(f"the range is empty: ages {self.from_age_years} to below {self.below_age_years}")
        return self

    def covers(self, age_years: int) -> bool:
        """Return whether the relaxation applies at that age in completed years."""
        return self.from_age_years <= age_years < self.below_age_years
