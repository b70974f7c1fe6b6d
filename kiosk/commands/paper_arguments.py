"""The arguments about paper that `sheet` and `watch` share, and what they stand for."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from kiosk.commands.output import notice
from kiosk.commands.photo_arguments import Rules
from kiosk.errors import BadCommand

if TYPE_CHECKING:
    from kiosk.core.document.document import Document
    from kiosk.core.sheet.back_side import Back
    from kiosk.pipeline.counter_sheet import Form, Maker, Paper

FORMS: dict[str, Form] = {".pdf": "pdf", ".jpg": "jpeg", ".jpeg": "jpeg", ".tif": "tiff", ".tiff": "tiff"}


def add_paper(parser: argparse.ArgumentParser) -> None:
    """Add the arguments about the paper and what is on it."""
    parser.add_argument("--paper", metavar="NAME", help="a PWG 5101.1 name, or 4x6in, 10x15cm, a4 …")
    parser.add_argument(
        "--as",
        choices=("pdf", "jpg", "tif"),
        dest="form",
        metavar="FORM",
        help="the form of the sheets in a folder: pdf, or jpg or tif for a laboratory",
    )
    parser.add_argument(
        "--back",
        metavar="TEXT",
        help="add a second page for the backs: the studio's name and address, and what the authority requires there",
    )
    parser.add_argument("--margin-mm", type=float, default=3.0, metavar="MM", help="unprintable margin of the paper")
    parser.add_argument("--gutter-mm", type=float, default=2.0, metavar="MM", help="gap between photos")
    parser.add_argument(
        "--anyway", action="store_true", help="make it though something speaks against it; the sheet's margin says so"
    )


def maker(options: argparse.Namespace, chosen: Rules) -> Maker:
    """Return what judges and cuts the photos."""
    from kiosk.pipeline.counter_sheet import Maker

    return Maker(chosen.unconfirmed, options.anyway, chosen.nudge)


def paper(options: argparse.Namespace, counts: Sequence[int] = ()) -> Paper:
    """Return the paper that was named, and how photos lie on it.

    Raises
    ------
    BadCommand
        A length or a number makes no sense.
    UnknownPaper
        No paper has that name.
    """
    from kiosk.core.sheet.imposition import Margins
    from kiosk.core.sheet.media import LARGEST_MM, medium
    from kiosk.pipeline.counter_sheet import Paper

    lengths_mm = (options.margin_mm, options.gutter_mm)
    if not all(0 <= length <= LARGEST_MM for length in lengths_mm) or any(count < 1 for count in counts):
        raise BadCommand(detail=f"margins and gutter are 0 to {LARGEST_MM:g} mm, and photos 1 or more")
    return Paper(medium(options.paper), Margins(*[options.margin_mm] * 4), options.gutter_mm, tuple(counts))


def backs_for(text: str | None, documents: Sequence[Document], form: Form) -> list[Back | None]:
    """Return the content of each back: what its authority requires, or studio and date if no authority says so."""
    from kiosk.core.sheet.back_side import Back

    if text is None:
        return []
    if form != "pdf":
        raise BadCommand(detail="only a .pdf has a page for the backs")
    backs = [document.back for document in documents]
    if not any(backs):
        return [Back(text, ("date",)) for _ in documents]
    if not text and any(rule is not None and "studio" in rule.lines for rule in backs):
        raise BadCommand(detail="the studio's name and address are wanted on the back: --back 'NAME, ADDRESS'")
    return [
        None
        if rule is None
        else Back(text if "studio" in rule.lines else "", tuple(line for line in rule.lines if line != "studio"))
        for rule in backs
    ]


def say_of_backs(text: str | None, documents: Sequence[Document]) -> None:
    """Print what the authorities want on the back, or that they want nothing there."""
    asking = {document.id: document.back for document in documents if document.back is not None}
    if text is None:
        for name, rule in asking.items():
            notice(f"{name} wants something on the back: {rule.text} Give --back TEXT for a page to print there.")
    elif not asking:
        notice("These rules ask for nothing on the back; many authorities refuse a photo with writing on it.")
