"""The sitter's photo as a file: which ways it can take, and where it is on its way."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

FileWay = Literal["phone", "stick"]
"""Who takes the file: the sitter's phone over the booth's own network, or a USB stick of the sitter's."""

FileStage = Literal["none", "making", "kept", "opening", "link", "insert", "writing", "taken", "failed"]
"""Where the file is: not offered, being made, kept until a way is chosen, on the way (`opening` until the way is open,
`link` while the code is shown, `insert` while a stick is waited for, `writing` while it must stay in), gone to the
sitter, or not given."""

FileFault = Literal["late", "lost", "offline", "full", "read_only", "pulled", "unwritable"]
"""Why the file was not given: its time was over; it is lost; the network is gone; or what is wrong with the stick."""

STILL_HELD: frozenset[FileFault] = frozenset({"offline", "full", "read_only", "pulled", "unwritable"})
"""After these the booth still has the file, and the sitter can try again or choose another way."""


@dataclass(frozen=True, slots=True)
class HandoverView:
    """What the screens show of it.

    Attributes
    ----------
    ways
        The ways that the shop offers; none where it offers no file.
    stage, failure, by
        Where the file is, why it was not given, and by which way it goes.
    link
        The address that the code on the screen leads to; it is good for one sitter's file alone.
    wifi
        The name of the network that the phone has to be in; empty where the settings do not say.
    wiped_in_s
        After how many seconds the file is wiped.
    """

    ways: tuple[FileWay, ...] = ()
    stage: FileStage = "none"
    failure: FileFault | None = None
    by: FileWay | None = None
    link: str = field(default="", repr=False)
    wifi: str = ""
    wiped_in_s: int = 0

    @property
    def is_held(self) -> bool:
        """Whether the booth has the file, and a way can be chosen."""
        return self.stage == "kept" or (self.stage == "failed" and self.failure in STILL_HELD)
