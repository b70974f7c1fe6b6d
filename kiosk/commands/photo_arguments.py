"""The arguments that commands on photo files share, and what they stand for."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.output import SETTINGS, are_there, known_documents
from kiosk.errors import BadCommand

if TYPE_CHECKING:
    from kiosk.catalogue.documents import Catalogue
    from kiosk.core.document.confirmation import Confirmation
    from kiosk.core.document.document import Document
    from kiosk.core.judging.nudge import FrameShift

PICTURES = (".jpg", ".jpeg", ".heic", ".heif", ".png", ".tif", ".tiff", ".webp", ".bmp")
"""The endings by which photos are chosen in a folder; a file that is named itself may end as it likes."""

OLDEST_YEARS = 130
"""More than anybody's age on record, 122 (from memory): a year of birth is not taken for an age."""

NOT_CONFIRMED = "Sizes of {id} are from memory, not confirmed: read the authority's text, then `holdstill documents \
confirm {id}`."


@dataclass(frozen=True, slots=True)
class Rules:
    """The documents of a command line, as they bind at this site and at the given age.

    Attributes
    ----------
    documents
        The documents, in the order given.
    unconfirmed
        The ids of those whose sizes are from memory, and that no person has confirmed.
    catalogue
        All documents that are known.
    nudge
        What to change about every planned frame.
    age_years
        The person's age in completed years, where it was given.
    """

    documents: tuple[Document, ...]
    unconfirmed: frozenset[str]
    catalogue: Catalogue
    nudge: FrameShift
    age_years: int | None = None

    def caveats(self, document: Document) -> tuple[str, ...]:
        """Return what is to be said about a document beside any verdict."""
        from kiosk.core.judging.nudge import FrameShift

        found = [NOT_CONFIRMED.format(id=document.id)] if document.id in self.unconfirmed else []
        if self.age_years is not None:
            found.append(
                f"The rules are those for the age of {self.age_years}."
                if document.ages
                else f"The rules of {document.id} are the same at every age."
            )
        if self.nudge != FrameShift():
            found.append("The frame was moved by hand, and judged where it is now.")
        return tuple(found)


def add_rules(parser: argparse.ArgumentParser) -> None:
    """Add the arguments that choose the rules and move the frame."""
    parser.add_argument(
        "--document",
        required=True,
        action="append",
        dest="documents",
        metavar="ID",
        help="the document whose rules apply; may be given several times",
    )
    parser.add_argument(
        "--settings", type=Path, default=SETTINGS, metavar="FILE", help="settings of a booth, for its own documents"
    )
    parser.add_argument("--age", type=int, metavar="YEARS", help="the person's age, where the rules differ by age")
    parser.add_argument(
        "--up-mm", type=float, default=0.0, metavar="MM", help="move the head up on the photo, down if negative"
    )
    parser.add_argument(
        "--left-mm", type=float, default=0.0, metavar="MM", help="move the head to the left on the photo"
    )
    parser.add_argument("--head-mm", type=float, metavar="MM", help="make the head that high on the photo")


def rules(options: argparse.Namespace) -> Rules:
    """Return what the arguments of `add_rules` stand for.

    Raises
    ------
    BadCommand
        The age or a length makes no sense.
    UnknownDocument, RulesRefused, SettingsRefused
        A document or the settings cannot be used.
    """
    from kiosk.core.document.confirmation import is_trusted, settled
    from kiosk.core.judging.nudge import FrameShift
    from kiosk.core.sheet.media import LARGEST_MM

    if options.age is not None and not 0 <= options.age <= OLDEST_YEARS:
        raise BadCommand(detail=f"--age is a number of completed years, from 0 to {OLDEST_YEARS}")
    if not all(-LARGEST_MM <= length_mm <= LARGEST_MM for length_mm in (options.up_mm, options.left_mm)):
        raise BadCommand(detail=f"--up-mm and --left-mm are lengths of at most {LARGEST_MM:g} mm")
    if options.head_mm is not None and not 0 < options.head_mm <= LARGEST_MM:
        raise BadCommand(detail=f"--head-mm is a length above 0 mm, of at most {LARGEST_MM:g} mm")
    catalogue = _catalogue(options)
    confirmations = _confirmations(options.settings)
    found = [catalogue.get(name) for name in dict.fromkeys(options.documents)]
    documents = [settled(document, confirmations) for document in found]
    if options.age is not None:
        documents = [document.for_age(options.age) for document in documents]
    unconfirmed = frozenset(document.id for document in found if not is_trusted(document, confirmations))
    nudge = FrameShift(options.up_mm, options.left_mm, options.head_mm)
    return Rules(tuple(documents), unconfirmed, catalogue, nudge, options.age)


def photos_among(paths: Sequence[Path]) -> list[Path]:
    """Return the photos named, each once, with those that lie in a named folder, sorted by name, in its place.

    Raises
    ------
    BadCommand
        A folder has no photo.
    """
    found = list[Path]()
    for path in paths:
        if not path.is_dir():
            found.append(path)
            continue
        inside = photos_in(path)
        if not inside:
            raise BadCommand(detail=f"{path} has no photo in it (none that ends in {', '.join(PICTURES)})")
        found += inside
    return list(dict.fromkeys(found))


def photos_in(folder: Path) -> list[Path]:
    """Return the photos in a folder, without those of its own folders, sorted by name."""
    return sorted(path for path in folder.iterdir() if is_photo(path))


def is_photo(path: Path) -> bool:
    """Return whether a file in a folder is taken for a photo; hidden ones are others' unfinished work."""
    return path.suffix.lower() in PICTURES and not path.name.startswith(".") and path.is_file()


def _catalogue(options: argparse.Namespace) -> Catalogue:
    """Return the catalogue; without settings only the documents named, which saves reading a hundred others."""
    from kiosk.catalogue.documents import Catalogue

    if options.settings is SETTINGS and not are_there(SETTINGS):
        named = Catalogue.load(only=options.documents)
        if set(options.documents) <= set(named.documents):
            return named
    return known_documents(options.settings)


def _confirmations(settings: Path) -> Sequence[Confirmation]:
    """Return what people have confirmed at this site."""
    if not are_there(settings):
        return ()
    from kiosk.settings import read_settings

    return read_settings(settings).confirmations
