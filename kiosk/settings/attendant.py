"""The attendant: who may go behind the sitter's screens, and what waits for them."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from kiosk.settings.section import Section

_HASH = r"^(\$argon2id\$v=19\$m=\d+,t=\d+,p=\d+\$[A-Za-z0-9+/]+\$[A-Za-z0-9+/]+)?$"


class Attendant(Section):
    """The attendant's PIN as the hash that `kiosk.pin.hash_pin` makes; without one nobody goes behind the screens.

    `release` says who lets a sheet be printed: `free` prints at once, `attendant` waits for one. `idle_s` is after how
    long without a touch the desk closes, `few_sheets` from how many sheets on paper is said to run low.
    """

    pin_hash: str = Field(default="", pattern=_HASH)
    release: Literal["free", "attendant"] = "free"
    idle_s: float = Field(default=60.0, ge=10.0, le=600.0)
    few_sheets: int = Field(default=10, ge=0, le=1000)

    @model_validator(mode="after")
    def _somebody_releases(self) -> Attendant:
        if self.release == "attendant" and not self.pin_hash:
            raise ValueError("release by the attendant needs a pin_hash")
        return self
