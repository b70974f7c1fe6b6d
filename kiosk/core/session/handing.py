"""Where the sitter's file is on its way to a phone or a USB stick."""

from __future__ import annotations

from dataclasses import dataclass, field

from kiosk.core.view.handover import STILL_HELD, FileFault, FileStage, FileWay


@dataclass(frozen=True, slots=True)
class HandoverTerms:
    """How a booth hands files over.

    Attributes
    ----------
    ways
        At least one.
    keep_s
        How long a file is kept once its sitter has chosen a way, in seconds.
    wifi
        The name of the network that the phone has to be in.
    """

    ways: tuple[FileWay, ...]
    keep_s: float
    wifi: str = ""


@dataclass(frozen=True, slots=True)
class Handing:
    """One sitter's file; `since_s` is when the sitter chose the way, by the session's clock."""

    stage: FileStage = "none"
    way: FileWay | None = None
    fault: FileFault | None = None
    link: str = field(default="", repr=False)
    since_s: float = 0.0

    @property
    def is_on_its_way(self) -> bool:
        """Whether a way has been chosen, and the file has not gone yet."""
        return self.stage in ("opening", "link", "insert", "writing")

    @property
    def can_go(self) -> bool:
        """Whether the booth has the file, and a way can be chosen or changed."""
        return self.stage in ("kept", "link", "insert") or (self.stage == "failed" and self.fault in STILL_HELD)
