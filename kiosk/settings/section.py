"""The base of all sections of the settings: unknown keys are refused, and types are not coerced."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Section(BaseModel):
    """One table of the settings file."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)
