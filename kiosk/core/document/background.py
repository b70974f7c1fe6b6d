"""The background rule: an authority's wording, and the colour regions it was translated into."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Self

from pydantic import BeforeValidator, Field, ValidationInfo, model_validator

from kiosk.core.document.limits import CONTRADICTION, Model, RuleError, Statement

LEAST_ROOM = 6.0
"""The narrowest usable region on any CIELAB axis: lighting alone makes a backdrop's colour vary by 5 and more within
one photo (practice)."""


class ColourRegion(Model):
    """A box in CIE L*a*b* (D65, sRGB white) that a background's colour must lie in."""

    name: str
    lightness: tuple[float, float]
    a: tuple[float, float]
    b: tuple[float, float]

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if any(low > high for low, high in (self.lightness, self.a, self.b)):
            raise ValueError("a range is empty: each is [low, high]")
        return self

    def intersection(self, other: ColourRegion) -> ColourRegion | None:
        """Return the region common to both, or None where it is too narrow for a real backdrop."""
        axes = {
            axis: (max(one[0], two[0]), min(one[1], two[1]))
            for axis in ("lightness", "a", "b")
            for one, two in [(getattr(self, axis), getattr(other, axis))]
        }
        if any(high - low < LEAST_ROOM for low, high in axes.values()):
            return None
        names = dict.fromkeys((*self.name.split(" and "), *other.name.split(" and ")))
        return ColourRegion(name=" and ".join(names), **axes)


def _named_colour(value: object, info: ValidationInfo) -> object:
    """Replace a colour's name by its region from the palette, which the caller passes as validation context."""
    if not isinstance(value, str):
        return value
    palette: Mapping[str, ColourRegion] = (info.context or {}).get("palette", {})
    if value not in palette:
        raise ValueError(f"no colour is called {value!r}; colours.toml has {', '.join(sorted(palette)) or 'none'}")
    return palette[value]


NamedColour = Annotated[ColourRegion, BeforeValidator(_named_colour, json_schema_input_type=ColourRegion | str)]


class BackgroundRule(Statement):
    """The background rule in words and as colour regions; a document's file names regions of `colours.toml`."""

    accepted: tuple[NamedColour, ...] = Field(min_length=1)
    contradicted_by: tuple[BackgroundRule, ...] = ()

    @model_validator(mode="after")
    def _reconcilable(self) -> Self:
        if not self.colours:
            raise RuleError("contradicted_by", CONTRADICTION)
        return self

    @property
    def is_contested(self) -> bool:
        """Whether another source that still holds says otherwise."""
        return not all(other.superseded for other in self.contradicted_by)

    @property
    def is_narrowed(self) -> bool:
        """Whether another source leaves fewer of the colours."""
        return self.colours != self.accepted

    @property
    def colours(self) -> tuple[ColourRegion, ...]:
        """The colours that bind: those that every source accepts."""
        binding = (other for other in self.contradicted_by if not other.superseded)
        others = [{colour.name for colour in other.colours} for other in binding]
        return tuple(colour for colour in self.accepted if all(colour.name in names for names in others))
