"""The rules for a picture file that is uploaded to an authority: pixels, aspect ratio, bytes, format, compression."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from kiosk.core.base.geometry import Range, Size
from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.document.background import BackgroundRule
from kiosk.core.document.limits import Limit, Model, Provenance, Statement

FileFormat = Literal["jpeg", "jpeg2000", "png", "heif"]

BYTES_PER_PIXEL = 3
"""Bytes per pixel of an uncompressed 24-bit picture, the reference of a compression ratio."""

UPLOAD_PX_PER_INCH = 300.0
"""The nominal scale at which an upload's lengths are converted to millimetres: 600 px then make 2 in."""


class PixelRule(Provenance):
    """The size of the picture in pixels, and its aspect ratio as width : height."""

    min_width: int = Field(gt=0)
    min_height: int = Field(gt=0)
    max_width: int | None = Field(default=None, gt=0)
    max_height: int | None = Field(default=None, gt=0)
    aspect: tuple[int, int] | None = None
    """The aspect ratio, width before height, such as [3, 4]."""

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        for low, high, name in (
            (self.min_width, self.max_width, "width"),
            (self.min_height, self.max_height, "height"),
        ):
            if high is not None and low > high:
                raise ValueError(f"the range is empty: min_{name} {low} > max_{name} {high}")
        if self.aspect is not None and min(self.aspect) <= 0:
            raise ValueError("aspect is width : height, both above zero")
        return self

    @property
    def smallest(self) -> Size:
        """The smallest picture that the rule accepts, in pixels."""
        if self.aspect is None:
            return Size(self.min_width, self.min_height)
        across, down = self.aspect
        unit = max(self.min_width / across, self.min_height / down)
        return Size(unit * across, unit * down)


class FileSizeRule(Provenance):
    """The size of the file in bytes."""

    min_bytes: int = Field(default=0, ge=0)
    max_bytes: int = Field(gt=0)

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if self.min_bytes > self.max_bytes:
            raise ValueError(f"the range is empty: min_bytes {self.min_bytes} > max_bytes {self.max_bytes}")
        return self


class FormatRule(Provenance):
    """The file formats accepted, in order of preference."""

    values: tuple[FileFormat, ...] = Field(min_length=1)


class Upload(Model):
    """All rules for the file."""

    pixels: PixelRule
    file: FileSizeRule | None = None
    formats: FormatRule | None = None
    compression: Limit | None = None
    """The ratio of uncompressed bytes to bytes of the file."""
    colour: Statement | None = None
    background: BackgroundRule | None = None
    """Where it differs from the print's; one photo for both meets both."""
    signature: PixelRule | None = None
    """A picture of the sitter's signature that goes with it, made elsewhere."""

    @property
    def frame_mm(self) -> Size:
        """The smallest picture at `UPLOAD_PX_PER_INCH`, in millimetres: the frame to which lengths refer."""
        smallest = self.pixels.smallest
        mm_per_px = MM_PER_INCH / UPLOAD_PX_PER_INCH
        return Size(smallest.width * mm_per_px, smallest.height * mm_per_px)

    def bytes_window(self, width_px: int, height_px: int) -> Range:
        """Return the permitted size in bytes of a file with that many pixels; empty where no file can comply.

        A compression ratio of at most r : 1 requires at least ``width * height * 3 / r`` bytes.
        """
        window = Range(None, None)
        if self.file is not None:
            window = Range(float(self.file.min_bytes), float(self.file.max_bytes))
        if self.compression is not None and self.compression.range.high is not None:
            uncompressed = width_px * height_px * BYTES_PER_PIXEL
            window = window.intersection(Range(uncompressed / self.compression.range.high, None))
        return window
