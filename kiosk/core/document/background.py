"""The background's rule: an authority's words, and the colours they were turned into."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Self

from pydantic import BeforeValidator, Field, ValidationInfo, model_validator

from kiosk.core.document.limits import CONTRADICTION, Model, RuleError, Statement

LEAST_ROOM = 6.0
"""A region narrower than this on any axis suits no backdrop, for the light alone varies its colour by 5 and more within
one photo (practice)."""


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

    def intersection(self, other: ColourRegion) -> ColourRegion | None:
        """Return the colours that lie in both, or None where they leave a backdrop no room."""
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
    """Look a colour's name up among the palette's regions, given as the validation's context."""
    if not isinstance(value, str):
        return value
    palette: Mapping[str, ColourRegion] = (info.context or {}).get("palette", {})
    if value not in palette:
        raise ValueError(f"no colour is called {value!r}; colours.toml has {', '.join(sorted(palette)) or 'none'}")
    return palette[value]


NamedColour = Annotated[ColourRegion, BeforeValidator(_named_colour, json_schema_input_type=ColourRegion | str)]


class BackgroundRule(Statement):
    """The background's rule in words, and the colours they were turned into: names of `colours.toml` in a file."""

    accepted: tuple[NamedColour, ...] = Field(min_length=1)
    contradicted_by: tuple[BackgroundRule, ...] = ()

    @model_validator(mode="after")
    def _reconcilable(self) -> Self:
        if not self.colours:
            raise RuleError("contradicted_by", CONTRADICTION)
        return self

    @property
    def colours(self) -> tuple[ColourRegion, ...]:
        """The colours that bind: those that every source accepts."""
        others = [{colour.name for colour in other.colours} for other in self.contradicted_by]
        return tuple(colour for colour in self.accepted if all(colour.name in names for names in others))
