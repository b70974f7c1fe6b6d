"""A rule as an authority publishes it: words or a range, with its source, the day it was read, and its evidence.

Evidence is `primary` if read on the authority's own page or in the law; `quoted` if read on a page that quotes it;
`memory` if not verified; `computed` if it follows from other limits by arithmetic; `practice` if common practice of the
trade; `measured` if it comes from this project's own bench.

Where two sources contradict each other, the rule keeps both: its own values, and the other's in `contradicted_by`. The
binding range is the intersection, so that the photo satisfies both.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from kiosk.core.base.decision import DEFAULT, Consequence, Decision, Tolerance
from kiosk.core.base.geometry import Range, Size
from kiosk.core.base.units import MM_PER_INCH

Evidence = Literal["primary", "quoted", "memory", "computed", "practice", "measured"]
LengthUnit = Literal["mm", "in", "fraction", "fraction_of_width"]

CONTRADICTION = "nothing satisfies both sources; keep the stricter rule, and the other one in its note"


class Model(BaseModel):
    """A frozen model that rejects unknown keys; its attributes' docstrings are the descriptions in the JSON schema."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class RuleError(ValueError):
    """A rule contradicts itself or another rule; `key` is its key within the document's table."""

    def __init__(self, key: str, reason: str) -> None:
        super().__init__(reason)
        self.key = key


class Provenance(Model):
    """The source of a rule, and how well it is known."""

    source: tuple[str, ...] = Field(min_length=1)
    """Ids of `sources.toml`."""
    evidence: Evidence
    """How well it is known."""
    read_on: date
    """The day on which it was read."""
    effective_from: date | None = None
    """The day from which the rule holds, where that is known."""
    superseded: bool = False
    """Replaced by the rule that it stands beside: kept to be seen, and binds no more."""
    note: str = ""
    """Whatever else a reader needs to judge the evidence."""


class Statement(Provenance):
    """A rule in words."""

    text: str = Field(min_length=1)


class Limit(Provenance):
    """A rule in numbers; a missing end is unbounded."""

    min: float | None = None
    max: float | None = None
    unit: str = Field(min_length=1)
    contradicted_by: tuple[Limit, ...] = ()
    """The limits that other sources give, in the same unit."""

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if self.min is None and self.max is None:
            raise ValueError("give min, max or both")
        if self.published.is_empty:
            raise ValueError(f"the range is empty: min {self.min} > max {self.max}")
        return self

    @model_validator(mode="after")
    def _reconcilable(self) -> Self:
        if not isinstance(self, Length):
            self._check_contradictions()
        return self

    @property
    def published(self) -> Range:
        """The range as this rule's own source gives it."""
        return Range(self.min, self.max)

    @property
    def range(self) -> Range:
        """The binding range: the values that satisfy every source."""
        binding = self.published
        for other in self.contradicted_by:
            if not other.superseded:
                binding = binding.intersection(other.range)
        return binding

    @property
    def is_contested(self) -> bool:
        """Whether another source that still holds says otherwise."""
        return not all(other.superseded for other in self.contradicted_by)

    def _check_contradictions(self) -> None:
        for other in self.contradicted_by:
            if other.unit != self.unit:
                raise RuleError("contradicted_by", f"the unit is {other.unit!r}, of the rule itself {self.unit!r}")
        if self.range.is_empty:
            raise RuleError("contradicted_by", CONTRADICTION)


class CaptureLimit(Limit):
    """A limit on a measurement of the sitter, the lighting or the camera."""

    decision: Decision = DEFAULT
    """Whether values near the limit pass, are refused, or are referred to a person."""
    consequence: Consequence = "refuse"
    """What a value outside the limit leads to: the photo is refused, referred to a person, or reported as advice."""
    if_known: bool = False
    """Whether the limit is skipped where the picture does not allow the measurement."""

    @property
    def tolerance(self) -> Tolerance:
        """The binding range, with its decision rule."""
        return Tolerance(self.range, self.decision)


class Length(Limit):
    """A limit on a length in the photo: in millimetres, inches, or a fraction of the photo's height or width."""

    min: float | None = Field(default=None, ge=0)
    max: float | None = Field(default=None, ge=0)
    unit: LengthUnit
    refused_below: float | None = Field(default=None, ge=0)
    """Refused only below this, in the same unit; a person decides between here and `min`."""
    refused_above: float | None = Field(default=None, ge=0)
    """Refused only above this, in the same unit; a person decides between `max` and here."""
    contradicted_by: tuple[Length, ...] = ()
    """The limits that other sources give, in any unit of length."""

    @model_validator(mode="after")
    def _refusal_outside(self) -> Self:
        for key, outer, inner, sign in (
            ("refused_below", self.refused_below, self.min, 1),
            ("refused_above", self.refused_above, self.max, -1),
        ):
            if outer is not None and (inner is None or sign * outer > sign * inner):
                raise RuleError(key, f"{outer} lies inside min {self.min} to max {self.max}")
        return self

    def range_mm(self, frame_mm: Size) -> Range:
        """Return the binding range in millimetres for a photo of that size."""
        binding = self.published.scaled(self._mm_per_unit(frame_mm))
        for other in self.contradicted_by:
            if not other.superseded:
                binding = binding.intersection(other.range_mm(frame_mm))
        return binding

    def is_narrowed(self, frame_mm: Size) -> bool:
        """Return whether another source leaves less than this rule's own range, in a photo of that size."""
        binding, own = self.range_mm(frame_mm), self.published.scaled(self._mm_per_unit(frame_mm))
        return not all(map(_is_same, (binding.low, binding.high), (own.low, own.high)))

    def kept_mm(self, frame_mm: Size) -> Range:
        """Return the range outside of which the photo is refused, in millimetres; the one that binds lies within."""
        binding, scale = self.range_mm(frame_mm), self._mm_per_unit(frame_mm)
        low = binding.low if self.refused_below is None else self.refused_below * scale
        return Range(low, binding.high if self.refused_above is None else self.refused_above * scale)

    def _mm_per_unit(self, frame_mm: Size) -> float:
        factors = {"mm": 1.0, "in": MM_PER_INCH, "fraction": frame_mm.height, "fraction_of_width": frame_mm.width}
        return factors[self.unit]


def _is_same(one: float | None, other: float | None) -> bool:
    return one == other if one is None or other is None else math.isclose(one, other, rel_tol=1e-9)


def rules_within(key: str, value: object) -> Iterator[tuple[str, Provenance]]:
    """Yield every rule in a value, itself included, with its dotted key; `key` is the value's own, empty for a file."""
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
        yield from rules_within(f"{key}.{name}" if key else name, part)


_OF_ONE = {"months": "month", "days": "day"}


def range_words(limit: Range, unit: str) -> str:
    """Return a range in words, such as `32 to 36 mm`, `at least 600 dpi`, `exactly 50 mm` or `at most 1 month`."""
    low, high = limit.low, limit.high
    unit = _OF_ONE.get(unit, unit) if (low if high is None else high) == 1 else unit
    if low is None:
        words = f"at most {high:.5g}"
    elif high is None:
        words = f"at least {low:.5g}"
    else:
        words = f"exactly {low:.5g}" if low == high else f"{low:.5g} to {high:.5g}"
    return f"{words} {unit}".rstrip()
