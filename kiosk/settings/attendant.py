"""The attendant: who may go behind the sitter's screens."""

from __future__ import annotations

from pydantic import Field

from kiosk.settings.section import Section


class Attendant(Section):
    """The attendant's PIN as the hash that `kiosk.pin.hash_pin` makes; without one nobody goes behind the screens."""

    pin_hash: str = Field(
        default="", pattern=r"^(\$argon2id\$v=19\$m=\d+,t=\d+,p=\d+\$[A-Za-z0-9+/]+\$[A-Za-z0-9+/]+)?$"
    )
