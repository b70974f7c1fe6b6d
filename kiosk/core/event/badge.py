"""A badge's design as one frozen value, in millimetres from the upper left corner of the card.

A design is data: the roster columns to print, the window for the photo and the head's size in it, and the code by which
a reader finds the person. Whatever can be checked without printing is checked here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from itertools import combinations
from typing import Annotated, Self

from pydantic import Field, StringConstraints, model_validator

from kiosk.core.base.contrast import LEAST_FOR_TEXT, SrgbColour, contrast_ratio
from kiosk.core.base.geometry import Rect, Size
from kiosk.core.document.limits import Model, RuleError
from kiosk.core.event.badge_boxes import ROLE_COLOUR, BadgeSide, Box, Code, PhotoWindow, TextField

LARGEST_MM = 420.0
"""The largest side of a badge: the long side of A3, more than anybody wears."""


class BadgeDesign(Model):
    """A badge, front and back."""

    id: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")
    title: str = Field(min_length=1)
    width_mm: float = Field(gt=0.0, le=LARGEST_MM)
    height_mm: float = Field(gt=0.0, le=LARGEST_MM)
    size_source: str = Field(min_length=1)
    """The source of the size: a standard and its clause, or the practice of the trade."""
    corner_mm: float = Field(default=0.0, ge=0.0)
    """Radius of the trimmed corners; only areas may reach into them."""
    bleed_mm: float = Field(default=0.0, ge=0.0, le=10.0)
    """How far areas that touch the trim are printed beyond it."""
    safe_mm: float = Field(default=2.0, ge=0.0)
    """The minimum distance from the trim for everything except areas."""
    roles: Mapping[str, Annotated[str, StringConstraints(pattern=r"^#[0-9a-f]{6}$")]] = Field(min_length=1)
    """Colours by role; the first one also serves people whose role is not listed."""
    front: BadgeSide
    back: BadgeSide | None = None

    @model_validator(mode="after")
    def _all_inside(self) -> Self:
        trim = Rect(0.0, 0.0, self.width_mm, self.height_mm)
        safe = trim.inset(*[self.safe_mm] * 4)
        for name, side in self.sides():
            for index, area in enumerate(side.areas, start=1):
                if not trim.contains(area.rect_mm):
                    raise RuleError(
                        f"{name}.areas.{index}", f"it reaches beyond {self.width_mm:g} x {self.height_mm:g} mm"
                    )
            for key, box in side.boxes():
                if not safe.contains(box.rect_mm):
                    raise RuleError(f"{name}.{key}", f"it is nearer than {self.safe_mm:g} mm to the trim")
        return self

    @model_validator(mode="after")
    def _all_apart(self) -> Self:
        for name, side in self.sides():
            for (one, first), (other, second) in combinations(side.boxes(), 2):
                if first.rect_mm.overlaps(second.rect_mm):
                    raise RuleError(f"{name}.{other}", f"it overlaps {name}.{one}")
        return self

    @model_validator(mode="after")
    def _all_legible(self) -> Self:
        for name, side in self.sides():
            printed: list[tuple[str, Box, str]] = [
                (f"texts.{index}", text, text.colour) for index, text in enumerate(side.texts, start=1)
            ]
            if side.code is not None:
                printed.append(("code", side.code, "#000000"))
            for key, box, colour in printed:
                self._check_contrast(side, f"{name}.{key}", box, colour)
        return self

    @model_validator(mode="after")
    def _one_photo(self) -> Self:
        if self.front.photo is not None and self.back is not None and self.back.photo is not None:
            raise RuleError("back.photo", "one side shows the photo")
        return self

    def _check_contrast(self, side: BadgeSide, key: str, box: Box, colour: str) -> None:
        try:
            below = side.colour_below(box)
        except RuleError as error:
            raise RuleError(key, str(error)) from error
        for role, of_role in self.roles.items():
            ratio = contrast_ratio(*(rgb(of_role if one == ROLE_COLOUR else one) for one in (colour, below)))
            if ratio < LEAST_FOR_TEXT:
                reason = f"its contrast is {ratio:.1f} for the role {role!r}; {LEAST_FOR_TEXT:g} is the least"
                raise RuleError(key, reason)

    @property
    def size_mm(self) -> Size:
        """The trimmed size."""
        return Size(self.width_mm, self.height_mm)

    @property
    def photo(self) -> PhotoWindow | None:
        """The window of the side that shows the photo."""
        return next((side.photo for _, side in self.sides() if side.photo is not None), None)

    @cached_property
    def columns(self) -> tuple[str, ...]:
        """The roster columns that the badge uses, in the order of first use."""
        used = [box.columns for _, side in self.sides() for _, box in side.boxes() if isinstance(box, TextField | Code)]
        return tuple(dict.fromkeys(column for columns in used for column in columns))

    def sides(self) -> Iterator[tuple[str, BadgeSide]]:
        """Yield front and back with their keys."""
        yield "front", self.front
        if self.back is not None:
            yield "back", self.back

    def colour(self, colour: str, role: str) -> SrgbColour:
        """Return a colour of the design for a person of that role."""
        if colour != ROLE_COLOUR:
            return rgb(colour)
        return rgb(self.roles.get(role) or next(iter(self.roles.values())))


def rgb(colour: str) -> SrgbColour:
    """Parse a colour written as `#rrggbb`."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
