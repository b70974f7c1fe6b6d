"""What every section of the settings has in common: unknown keys are refused, types are not bent."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Section(BaseModel):
    """One table of the settings file."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)
