"""What lies on one side of a badge: colour, photo, text and code, each in its box of millimetres."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from kiosk.core.base.geometry import Rect
from kiosk.core.document.limits import Model, RuleError

ROLE_COLOUR = "role"
"""Stands for the colour of the person's role."""

QUIET_MODULES = 4
"""Width of the quiet zone around a QR code, in modules (ISO/IEC 18004, 5.3.8)."""

_PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9_]*)\}")

BadgeColour = Annotated[str, StringConstraints(pattern=r"^(role|#[0-9a-f]{6})$")]
Share = Annotated[float, Field(gt=0.0, lt=1.0)]


class Box(Model):
    """A rectangle on the badge."""

    x_mm: float = Field(ge=0.0)
    y_mm: float = Field(ge=0.0)
    width_mm: float = Field(gt=0.0)
    height_mm: float = Field(gt=0.0)

    @cached_property
    def rect_mm(self) -> Rect:
        """The rectangle, relative to the upper left corner of the trim."""
        return Rect(self.x_mm, self.y_mm, self.width_mm, self.height_mm)


class FilledBox(Box):
    """A filled rectangle; if it touches the trim, it extends into the bleed."""

    colour: BadgeColour


class PhotoWindow(Box):
    """The window for the photo, and the head's size in it."""

    head_height: tuple[Share, Share] = (0.5, 0.75)
    """Minimum and maximum height from the chin to the top of the hair, as a fraction of the window's height."""
    background: Literal["free", "plain"] = "free"

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.head_height[0] >= self.head_height[1]:
            raise RuleError("head_height", "the least share is not below the most")
        return self


class TextField(Box):
    """A text in the largest size between `largest_pt` and `least_pt` that fits; it never extends beyond the box."""

    text: str = Field(min_length=1)
    """The text to print; `{name}` stands for the roster column of that name."""
    largest_pt: float = Field(gt=0.0, le=200.0)
    least_pt: float = Field(ge=4.0)
    lines: int = Field(default=1, ge=1, le=4)
    align: Literal["left", "centre", "right"] = "left"
    bold: bool = False
    colour: BadgeColour = "#000000"

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.least_pt > self.largest_pt:
            raise RuleError("least_pt", "it is above largest_pt")
        return self

    @property
    def columns(self) -> tuple[str, ...]:
        """The roster columns that the text uses."""
        return tuple(_PLACEHOLDER.findall(self.text))

    def words(self, values: Mapping[str, str]) -> str:
        """Return the text for one person; an empty column leaves no gap."""
        return " ".join(_PLACEHOLDER.sub(lambda found: values.get(found[1], ""), self.text).split())


class Code(Box):
    """A machine-readable code; its quiet zone lies inside the box."""

    kind: Literal["qr"] = "qr"
    text: str = "{id}"
    least_module_mm: float = Field(default=0.4, ge=0.25)
    """The smallest permitted side of one module; telephones read 0.4 mm (practice of the trade)."""

    @property
    def columns(self) -> tuple[str, ...]:
        """The roster columns that the code uses."""
        return tuple(_PLACEHOLDER.findall(self.text))

    def words(self, values: Mapping[str, str]) -> str:
        """Return the content of the code for one person."""
        return _PLACEHOLDER.sub(lambda found: values.get(found[1], ""), self.text)


class BadgeSide(Model):
    """One side of the badge, painted in the order of areas, photo, texts, code."""

    background: BadgeColour = "#ffffff"
    areas: tuple[FilledBox, ...] = ()
    photo: PhotoWindow | None = None
    texts: tuple[TextField, ...] = ()
    code: Code | None = None

    def boxes(self) -> Iterator[tuple[str, Box]]:
        """Yield all boxes that must not overlap, with their keys in the file."""
        if self.photo is not None:
            yield "photo", self.photo
        if self.code is not None:
            yield "code", self.code
        for index, text in enumerate(self.texts, start=1):
            yield f"texts.{index}", text

    def colour_below(self, box: Box) -> str:
        """Return the colour under a box.

        Raises
        ------
        RuleError
            The box lies on two colours.
        """
        below = self.background
        for area in self.areas:
            if area.rect_mm.contains(box.rect_mm):
                below = area.colour
            elif area.rect_mm.overlaps(box.rect_mm):
                raise RuleError("", "it lies across the edge of an area; move it inside or outside")
        return below
