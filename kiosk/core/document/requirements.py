"""The kinds of rules that make up a document, besides plain limits and statements."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, Self

from pydantic import Field, model_validator

from kiosk.core.base.geometry import Size
from kiosk.core.base.measurement import HeadTop
from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.document.background import BackgroundRule
from kiosk.core.document.limits import CaptureLimit, Length, Model, Provenance, RuleError, Statement

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
BackLine = Literal["studio", "date", "name", "birth_date", "witness"]
WornFor = Literal["religion", "medicine", "custom"]
VisiblePart = Literal["ears", "ear_lobes", "eyebrows", "forehead", "shoulders"]
DeliveryWay = Literal["print", "file", "original_file", "code", "certified_transfer", "office"]
StatementName = Literal[
    "alteration",
    "capture_advice",
    "centring",
    "colour",
    "compression",
    "expression",
    "face_width",
    "framing",
    "geometry",
    "lens",
    "lighting",
    "print_quality",
    "sizes",
    "standard",
    "tolerance",
    "visibility",
]


BY_EYE: tuple[StatementName, ...] = ("face_width", "framing", "geometry", "lens", "visibility")
"""Statements that may be marked `by_eye`: every language has a name for them."""


class OtherSize(Model):
    """Another size that the authority takes as well."""

    width: float = Field(gt=0)
    height: float = Field(gt=0)


class PhotoSize(Provenance):
    """The trimmed size of a print, or of the card it is set in: the one that the booth makes."""

    width: float = Field(gt=0)
    height: float = Field(gt=0)
    unit: Literal["mm", "in"]
    max_width: float | None = Field(default=None, gt=0)
    max_height: float | None = Field(default=None, gt=0)
    """Up to which the authority takes larger prints, in the same unit."""
    also: tuple[OtherSize, ...] = ()
    """Other sizes that the authority takes, in the same unit."""

    @model_validator(mode="after")
    def _not_smaller(self) -> Self:
        for key, most, own in (
            ("max_width", self.max_width, self.width),
            ("max_height", self.max_height, self.height),
        ):
            if most is not None and most < own:
                raise RuleError(key, f"{most} is less than the print's own {own}")
        return self

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
    better_off: bool = False
    """Allowed, but the authority recommends that they come off."""

    @model_validator(mode="after")
    def _not_both(self) -> Self:
        if self.better_off and not self.allowed:
            raise RuleError("better_off", "what is not allowed is not merely better taken off")
        return self


class CoveringRule(Statement):
    """For what a head covering may stay on."""

    worn_for: tuple[WornFor, ...] = ()
    """Empty where none may stay on."""


class VisibleRule(Statement):
    """What must be seen besides the face; no measurement looks at it."""

    parts: tuple[VisiblePart, ...] = Field(min_length=1)


class SmileRule(Statement):
    """Whether a smile with closed lips is taken."""

    allowed: bool


class MonochromeRule(Statement):
    """Whether a photo in black and white is taken."""

    allowed: bool


class ScanRule(Statement):
    """Whether a scan or a photo of a print is taken; `text` gives the conditions."""

    allowed: bool


class CropRule(Statement):
    """Whether the picture may have been cropped since the camera wrote it."""

    allowed: bool


class DeliveryRule(Statement):
    """How the photo must reach the authority."""

    by: tuple[DeliveryWay, ...] = Field(min_length=1)
    """`original_file`: as the camera wrote it, not cropped; `code`: one that a registered supplier gives out;
    `certified_transfer`: a supplier's protected line to the office; `office`: taken there."""

    @property
    def is_beyond_booth(self) -> bool:
        """Whether this booth, which prints and writes cropped files, can deliver in none of the ways."""
        return not {"print", "file"} & set(self.by)


class BorderRule(Statement):
    """Whether the print may have a border or a keyline."""

    allowed: bool


class BackRule(Statement):
    """What the back of a print must carry; without this rule nothing may be written there."""

    lines: tuple[BackLine, ...] = ()
    """Printed: the studio's name and address; ruled, to be filled in by hand: the rest. Empty: it stays blank."""
    on_prints: int | None = Field(default=None, ge=1)
    """How many of the prints carry it; without it, all."""


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
    """Names of measurements that are not judged, and of lengths that are not asked."""
    size: PhotoSize | None = None
    """In place of the document's own; so are the following."""
    head_height: Length | None = None
    eye_line: Length | None = None
    margin_above: Length | None = None
    margin_below: Length | None = None
    eyes_from_top: Length | None = None
    chin_to_eyes: Length | None = None
    eye_distance: Length | None = None
    head_width: Length | None = None
    face_centre: Length | None = None
    background: BackgroundRule | None = None
    capture: Mapping[str, CaptureLimit] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if self.from_age_years >= self.below_age_years:
            raise ValueError(f"the range is empty: ages {self.from_age_years} to below {self.below_age_years}")
        return self

    def covers(self, age_years: int) -> bool:
        """Return whether the relaxation applies at that age in completed years."""
        return self.from_age_years <= age_years < self.below_age_years
