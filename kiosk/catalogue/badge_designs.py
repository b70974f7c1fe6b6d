"""Badge designs, one per TOML file, and the rules for the photo that a design shows."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from kiosk.core.document.document import Document
from kiosk.core.document.limits import Length
from kiosk.core.document.requirements import PhotoSize
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.event.badge_boxes import PhotoWindow
from kiosk.errors import RulesRefused
from kiosk.system.toml_file import read_table, refusal

PHOTO_RULES = {"free": "event-badge-id1", "plain": "staff-badge-id1"}
"""For each kind of background of a window, the document whose remaining rules apply to its photo."""


def read_design(path: Path) -> BadgeDesign:
    """Return the design in a file.

    Raises
    ------
    RulesRefused
        The design has a fault; the error names the file, the key and the reason of the first one.
    """
    try:
        design = BadgeDesign.model_validate(read_table(path))
    except ValidationError as error:
        raise refusal(path, error) from error
    if design.id != path.stem:
        raise RulesRefused(path=path, where="id", detail=f"{design.id!r} is not the file's name")
    return design


def photo_document(design: BadgeDesign, window: PhotoWindow, rules: Document) -> Document:
    """Return the rules for the photo in a badge's window: those of `rules`, with the window's size and head height.

    Parameters
    ----------
    design, window
        The badge and its window.
    rules
        The document that `PHOTO_RULES` names for the window's background.
    """
    size = PhotoSize(width=window.width_mm, height=window.height_mm, unit="mm", **_provenance(rules))
    least, most = window.head_height
    head_height = Length(min=least, max=most, unit="fraction", **_provenance(rules))
    return rules.model_copy(
        update={"id": design.id, "title": design.title, "size": size, "card": None, "head_height": head_height}
    )


def _provenance(rules: Document) -> dict[str, object]:
    """Return the provenance of a design's numbers: its own file, which follows the practice of the trade."""
    return {"source": ("practice",), "evidence": "practice", "read_on": rules.read_on}
