"""The printer and the paper in it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from kiosk.settings.section import Section


class FolderPrint(Section):
    """A folder that keeps the exact sheets."""

    backend: Literal["folder"]
    folder: str


class Paper(Section):
    """The paper in the printer, and how photos lie on it."""

    medium: str = "4x6in"
    margins_mm: tuple[float, float, float, float] = (3.0, 3.0, 3.0, 3.0)
    gutter_mm: float = Field(default=2.0, ge=0.0, le=50.0)
    photos: int | None = Field(default=None, ge=1, le=100)
