"""A document's rules as one frozen value. Lengths keep the authority's unit; the `_mm` properties convert them.

A document is a print, a file to upload, or both. Cropping and measuring work in one frame only, `frame_mm`: for a file
to upload that is its smallest permitted picture at 300 px per inch.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from functools import reduce
from typing import Self

from pydantic import Field, model_validator

from kiosk.core.base.geometry import Range, Size
from kiosk.core.document.ages import relaxed
from kiosk.core.document.background import BackgroundRule, ColourRegion
from kiosk.core.document.head_fit import VerticalLimits
from kiosk.core.document.limits import CaptureLimit, Length, Limit, Model, Provenance, rules_within
from kiosk.core.document.requirements import (
    BackRule,
    BorderRule,
    ChannelRule,
    CoveringRule,
    CropRule,
    DeliveryRule,
    DocumentKind,
    FurtherRule,
    HeadTopRule,
    MonochromeRule,
    PaperRule,
    PhotoSize,
    PrintCount,
    Relaxation,
    ScanRule,
    SmileRule,
    SpectaclesRule,
    StatementName,
    VisibleRule,
)
from kiosk.core.document.soundness import check
from kiosk.core.document.upload import Upload
from kiosk.errors import NoPrintSize


class Document(Model):
    """All rules of one document."""

    id: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")
    """The file's name: country code (ISO 3166), kind, and `print` or `digital` where both exist."""
    title: str = Field(min_length=1)
    authority: str = Field(min_length=1)
    """The authority that decides whether the photo is accepted."""
    country: str | None = Field(default=None, pattern=r"^[A-Z]{2}$")
    """ISO 3166-1 alpha-2 code."""
    kinds: tuple[DocumentKind, ...] = ()
    """What it is, for a title in the sitter's language; without them the title stays as written."""
    variant_of: str | None = None
    """The id of the document of which this is an office's, a state's or a route's own version."""
    channel: ChannelRule
    size: PhotoSize | None = None
    """The trimmed size of the print."""
    card: PhotoSize | None = None
    """The card or holder that the print is set in."""
    head_top: HeadTopRule
    head_height: Length
    """The distance from the chin to `head_top`."""
    eye_line: Length | None = None
    """The eye line above the lower edge."""
    margin_above: Length | None = None
    """Between the upper edge and `head_top`."""
    margin_below: Length | None = None
    """Between the chin and the lower edge."""
    eyes_from_top: Length | None = None
    """The eye line below the upper edge."""
    chin_to_eyes: Length | None = None
    eye_distance: Length | None = None
    """Between the eye centres, on the photo."""
    head_width: Length | None = None
    """Between the places where the ears join the head."""
    face_centre: Length | None = None
    """The middle of the face from the left edge; without it, that of ISO/IEC 19794-5."""
    background: BackgroundRule
    spectacles: SpectaclesRule | None = None
    """Without it, nothing is stated; so it is with the next three."""
    covering: CoveringRule | None = None
    visible: VisibleRule | None = None
    smile: SmileRule | None = None
    monochrome: MonochromeRule | None = None
    resolution: Limit
    """Pixels of the photo per inch of its printed size, in dpi."""
    border: BorderRule | None = None
    back: BackRule | None = None
    paper: PaperRule | None = None
    prints: PrintCount | None = None
    recency: Limit | None = None
    """The age of the photo, in months or days."""
    upload: Upload | None = None
    """The picture file to send."""
    scan: ScanRule | None = None
    crop: CropRule | None = None
    delivery: DeliveryRule | None = None
    statements: Mapping[StatementName, FurtherRule] = Field(default_factory=dict)
    """Further rules in words."""
    relaxations: tuple[Relaxation, ...] = ()
    """Rules that are relaxed for children."""
    capture: Mapping[str, CaptureLimit] = Field(default_factory=dict)
    """Limits by measurement name; they replace those of `capture.toml`."""

    @model_validator(mode="after")
    def _sound(self) -> Self:
        check(self)
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
        """The size to which lengths refer: the print's, or that of an upload's smallest picture at 300 px per inch."""
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
        bands = [] if self.eye_line is None else [self.eye_line.range_mm(self.frame_mm)]
        if self.eyes_from_top is not None:
            height, depth = self.frame_mm.height, self.eyes_from_top.range_mm(self.frame_mm)
            ends = [None if end is None else height - end for end in (depth.high, depth.low)]
            bands.append(Range(*ends))
        return reduce(Range.intersection, bands) if bands else None

    @property
    def margin_above_mm(self) -> Range | None:
        """The distance from the upper edge to the top of the head, where the authority limits it."""
        return None if self.margin_above is None else self.margin_above.range_mm(self.frame_mm)

    @property
    def margin_below_mm(self) -> Range | None:
        """The distance from the chin to the lower edge, where the authority limits it."""
        return None if self.margin_below is None else self.margin_below.range_mm(self.frame_mm)

    @property
    def face_centre_share(self) -> Range | None:
        """The place of the face's middle as a share of the photo's width, where the authority gives one."""
        if self.face_centre is None:
            return None
        return self.face_centre.range_mm(self.frame_mm).scaled(1 / self.frame_mm.width)

    @property
    def backdrop_colours(self) -> tuple[ColourRegion, ...]:
        """The colours of a backdrop that suit the print and the upload."""
        own = self.background.colours
        if self.upload is None or self.upload.background is None:
            return own
        names = {colour.name for colour in self.upload.background.colours}
        return tuple(colour for colour in own if colour.name in names)

    @property
    def needed_dpi(self) -> float:
        """The pixels per inch that the crop must have when it fills `frame_mm`."""
        return self.resolution.range.low or 0.0

    @property
    def border_allowed(self) -> bool:
        """Whether a border is expressly allowed."""
        return self.border is not None and self.border.allowed

    @property
    def is_beyond_booth(self) -> bool:
        """Whether a booth, which crops every picture, prints and writes files, cannot make what the authority takes."""
        uncropped = self.crop is not None and not self.crop.allowed
        return uncropped or (self.delivery is not None and self.delivery.is_beyond_booth)

    @property
    def read_on(self) -> date:
        """The earliest day on which any of the rules was read."""
        return min(rule.read_on for _, rule in self.rules())

    @property
    def vertical_limits(self) -> VerticalLimits:
        """All vertical limits, for `kiosk.core.document.head_fit`."""
        anywhere = Range(None, None)
        return VerticalLimits(
            self.frame_mm.height,
            self.head_height_mm,
            self.eye_line_mm or anywhere,
            self.margin_above_mm or anywhere,
            self.margin_below_mm or anywhere,
        )

    @property
    def ages(self) -> tuple[int, ...]:
        """The ages in completed years at which the rules change, starting with 0; empty where they never do."""
        bounds = {age for one in self.relaxations for age in (one.from_age_years, one.below_age_years)}
        return tuple(sorted({0, *bounds})) if bounds else ()

    def for_age(self, age_years: int) -> Document:
        """Return the rules for a sitter of that age in completed years."""
        document = self
        for relaxation in self.relaxations:
            if relaxation.covers(age_years):
                document = document.model_copy(update=relaxed(relaxation, document.capture))
        return document

    @property
    def by_age(self) -> tuple[Document, ...]:
        """The rules at each of `ages`; the document alone where they never change."""
        return tuple(map(self.for_age, self.ages)) or (self,)

    def geometry(self) -> Iterator[tuple[str, Provenance]]:
        """Yield the sizes without which no photo can be cut: of the print, of the upload, of the head."""
        if self.size is not None:
            yield "size", self.size
        yield "head_height", self.head_height
        if self.upload is not None:
            yield "upload.pixels", self.upload.pixels

    def rules(self) -> Iterator[tuple[str, Provenance]]:
        """Yield every rule with its key in the file, in the order of the file."""
        yield from rules_within("", self)
