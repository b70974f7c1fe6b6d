"""A document's rules as one frozen value. Lengths keep the unit the authority publishes; the `_mm` properties convert.

A document is a print, a file to upload, or both. The lengths of an upload are counted in its smallest picture at
300 px per inch, so that crop and measurement need to know one frame only: `frame_mm`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, ValidationInfo, model_validator

from kiosk.core.fit import VerticalLimits, possible_heads_mm
from kiosk.core.geometry import Range, Size
from kiosk.core.limits import Length, Limit, Model, Provenance, Statement
from kiosk.core.measurement import HeadTop
from kiosk.core.units import MM_PER_INCH
from kiosk.core.upload import Upload
from kiosk.errors import NoPrintSize

Channel = Literal["self_service", "with_conditions", "not_accepted", "unconfirmed"]
Finish = Literal["glossy", "semi_matte", "matte"]
StatementName = Literal[
    "alteration",
    "back_of_print",
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

LEAST_ABOVE_EYES, MOST_ABOVE_EYES = 0.40, 0.60
"""Share of the head above the eye line, among all sitters. ANSUR II gives 0.444 to 0.525 to the crown (5th to 95th
percentile, men and women, computed from the public data); hair adds to the upper end (practice)."""


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


class ColourRegion(Model):
    """A region of CIE L*a*b* (D65, sRGB white) that a background must lie in."""

    name: str
    lightness: tuple[float, float]
    a: tuple[float, float]
    b: tuple[float, float]

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if any(low > high for low, high in (self.lightness, self.a, self.b)):
            raise ValueError("a range is empty: each is [low, high]")
        return self

    def overlaps(self, other: ColourRegion) -> bool:
        """Tell whether some colour lies in both, edges not counted."""
        pairs = ((self.lightness, other.lightness), (self.a, other.a), (self.b, other.b))
        return all(max(one[0], two[0]) < min(one[1], two[1]) for one, two in pairs)


def _named_colour(value: object, info: ValidationInfo) -> object:
    """Look a colour's name up among the palette's regions, given as the validation's context."""
    if not isinstance(value, str):
        return value
    palette: Mapping[str, ColourRegion] = (info.context or {}).get("palette", {})
    if value not in palette:
        raise ValueError(f"no colour is called {value!r}; colours.toml has {', '.join(sorted(palette)) or 'none'}")
    return palette[value]


NamedColour = Annotated[ColourRegion, BeforeValidator(_named_colour, json_schema_input_type=ColourRegion | str)]


class Background(Statement):
    """The background's rule in words, and the colours they were turned into: names of `colours.toml` in a file."""

    accepted: tuple[NamedColour, ...] = Field(min_length=1)
    contradicted_by: tuple[Background, ...] = ()

    @model_validator(mode="after")
    def _reconcilable(self) -> Self:
        if not self.colours:
            raise ValueError("no colour satisfies this rule and contradicted_by together")
        return self

    @property
    def colours(self) -> tuple[ColourRegion, ...]:
        """The colours that bind: those that every source accepts."""
        others = [{colour.name for colour in other.colours} for other in self.contradicted_by]
        return tuple(colour for colour in self.accepted if all(colour.name in names for names in others))


class SpectaclesRule(Statement):
    """Whether spectacles may be worn at all; the words say under which conditions."""

    allowed: bool


class BorderRule(Statement):
    """Whether the print may have a border or a keyline."""

    allowed: bool


class PaperRule(Statement):
    """Which surfaces of photo paper are taken."""

    finishes: tuple[Finish, ...] = Field(min_length=1)


class PrintCount(Provenance):
    """How many identical prints are handed in."""

    count: int = Field(ge=1)


class Relaxation(Statement):
    """What is not asked of younger sitters, from one age in years up to another.

    `lifts` names measurements that are not judged; a length given here takes the place of the document's own.
    """

    from_age_years: int = Field(default=0, ge=0)
    below_age_years: int = Field(gt=0)
    lifts: tuple[str, ...] = ()
    head_height: Length | None = None
    eye_line: Length | None = None

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if self.from_age_years >= self.below_age_years:
            raise ValueError(f"the range is empty: ages {self.from_age_years} to below {self.below_age_years}")
        return self

    def covers(self, age_years: int) -> bool:
        """Tell whether it speaks of that age in completed years."""
        return self.from_age_years <= age_years < self.below_age_years


class Document(Model):
    """All rules of one document."""

    id: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")
    title: str = Field(min_length=1)
    authority: str = Field(min_length=1)
    country: str | None = Field(default=None, pattern=r"^[A-Z]{2}$")
    channel: ChannelRule
    size: PhotoSize | None = None
    card: PhotoSize | None = None
    head_top: HeadTopRule
    head_height: Length
    eye_line: Length | None = None
    margin_above: Length | None = None
    margin_below: Length | None = None
    head_width: Length | None = None
    background: Background
    spectacles: SpectaclesRule | None = None
    resolution: Limit
    border: BorderRule | None = None
    paper: PaperRule | None = None
    prints: PrintCount | None = None
    recency: Limit | None = None
    upload: Upload | None = None
    statements: Mapping[StatementName, Statement] = Field(default_factory=dict)
    relaxations: tuple[Relaxation, ...] = ()
    capture: Mapping[str, Limit] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _print_or_upload(self) -> Self:
        if self.size is None and self.upload is None:
            raise ValueError("give the size of a print, an upload, or both")
        return self

    @model_validator(mode="after")
    def _units(self) -> Self:
        for name, limit, unit in (("resolution", self.resolution, "dpi"), ("recency", self.recency, "months")):
            if limit is not None and limit.unit != unit:
                raise ValueError(f"{name}.unit is {limit.unit!r}; it is given in {unit!r}")
        return self

    @model_validator(mode="after")
    def _some_head_fits(self) -> Self:
        by_age: list[Document] = [self.for_age(relaxation.from_age_years) for relaxation in self.relaxations]
        for document in (self, *by_age):
            if document.possible_heads_mm(LEAST_ABOVE_EYES, MOST_ABOVE_EYES).is_empty:
                raise ValueError("no head fits head_height, eye_line, margin_above and margin_below in this frame")
        return self

    @property
    def size_mm(self) -> Size:
        """The trimmed size of the print in millimetres.

        Raises
        ------
        NoPrintSize
            The document is a file to upload.
        """
        if self.size is None:
            raise NoPrintSize(document=self.id)
        return self.size.size_mm

    @property
    def frame_mm(self) -> Size:
        """The photo in which lengths are measured: the print, or an upload's smallest picture at 300 px per inch."""
        if self.size is not None or self.upload is None:
            return self.size_mm
        return self.upload.frame_mm

    @property
    def head_height_mm(self) -> Range:
        """The head height from chin to `head_top`."""
        return self.head_height.range_mm(self.frame_mm)

    @property
    def eye_line_mm(self) -> Range | None:
        """The eye line above the lower edge, where the authority gives one."""
        return None if self.eye_line is None else self.eye_line.range_mm(self.frame_mm)

    @property
    def margin_above_mm(self) -> Range | None:
        """The room between the upper edge and the top of the head, where the authority gives it."""
        return None if self.margin_above is None else self.margin_above.range_mm(self.frame_mm)

    @property
    def margin_below_mm(self) -> Range | None:
        """The room between the chin and the lower edge, where the authority gives it."""
        return None if self.margin_below is None else self.margin_below.range_mm(self.frame_mm)

    @property
    def needed_dpi(self) -> float:
        """Pixels per inch that the crop must have in `frame_mm`."""
        return self.resolution.range.low or 0.0

    @property
    def border_allowed(self) -> bool:
        """Whether a border is expressly allowed."""
        return self.border is not None and self.border.allowed

    @property
    def read_on(self) -> date:
        """The day on which the oldest of its rules was read."""
        return min(rule.read_on for _, rule in self.rules())

    def possible_heads_mm(self, least_above: float, most_above: float) -> Range:
        """Return the head heights that fit all vertical limits, for heads with that share above the eye line."""
        given = {
            name: band
            for name in ("eye_line_mm", "margin_above_mm", "margin_below_mm")
            if (band := getattr(self, name)) is not None
        }
        limits = VerticalLimits(self.frame_mm.height, self.head_height_mm, **given)
        return possible_heads_mm(limits, least_above, most_above)

    def for_age(self, age_years: int) -> Document:
        """Return the rules for a sitter of that age in completed years."""
        document = self
        for relaxation in self.relaxations:
            if relaxation.covers(age_years):
                document = document.model_copy(
                    update={
                        "head_height": relaxation.head_height or document.head_height,
                        "eye_line": relaxation.eye_line or document.eye_line,
                        "capture": {n: lim for n, lim in document.capture.items() if n not in relaxation.lifts},
                    }
                )
        return document

    def rules(self) -> Iterator[tuple[str, Provenance]]:
        """Yield every rule with its key in the file, in the order of the file."""
        yield from _walk("", self)


def _walk(key: str, value: object) -> Iterator[tuple[str, Provenance]]:
    if isinstance(value, Provenance):
        yield key, value
    if isinstance(value, Model):
        parts: list[tuple[str, object]] = [(name, getattr(value, name)) for name in type(value).model_fields]
    elif isinstance(value, Mapping):
        parts = list(value.items())
    elif isinstance(value, tuple):
        parts = [(str(index), part) for index, part in enumerate(value, start=1)]
    else:
        return
    for name, part in parts:
        yield from _walk(f"{key}.{name}" if key else name, part)
