"""The booth itself: what is offered, and the sitter's screen."""

from __future__ import annotations

from pydantic import Field

from kiosk.settings.section import Section


class Booth(Section):
    """What is offered, and how long a sitter is helped."""

    documents: list[str] = Field(min_length=1)
    languages: list[str] = Field(default=["en"], min_length=1)
    shots: int = Field(default=4, ge=1, le=20)
    session_folder: str = "/run/holdstill"


class Screen(Section):
    """The sitter's screen."""

    size_px: tuple[int, int] = (1080, 1920)
    fullscreen: bool = True
